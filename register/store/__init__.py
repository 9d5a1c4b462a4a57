"""The register on disk: engine, tables, history, upgrades. The only place that knows SQL and its dialects."""
