"""Settings, audit, the demo and backups."""
