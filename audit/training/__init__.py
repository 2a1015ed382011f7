"""Training of the networks; needs the `train` extra. Not part of the installed package."""
