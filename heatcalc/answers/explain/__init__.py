"""From a result back to its inputs."""
