"""Training of the reader network: generator, network, training run."""
