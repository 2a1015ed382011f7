"""Training of the page network: where terminators, text and thin lines are on a sheet."""
