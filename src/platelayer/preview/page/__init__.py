"""The page on which the cut is played."""
