"""The register: memory, counters, losses, security."""
