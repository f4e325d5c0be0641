"""A marking in plain words, in the terminal and as a picture."""
