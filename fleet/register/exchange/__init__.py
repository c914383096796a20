"""The register in and out as files: CSV in, CSV and JSON lines out."""
