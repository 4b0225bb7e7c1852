"""The handbook methods beside the network, and the published rules."""
