"""The register and its rules: everything of Retest Register that needs no window."""
