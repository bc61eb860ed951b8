"""The register through the API: who owns what, where it stands, and keys of devices."""
