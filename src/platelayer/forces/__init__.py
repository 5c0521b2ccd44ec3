"""How hard the bit works: chips, push, bend and rubbing, from the files alone."""
