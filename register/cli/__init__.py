"""The register without a window: one command for each thing a user can do."""
