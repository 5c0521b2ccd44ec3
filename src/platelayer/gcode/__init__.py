"""G-code read: words, moves and their time. Writing it is the post-processor's, and neither knows the other."""
