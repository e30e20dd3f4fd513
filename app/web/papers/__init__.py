"""Papers seen at the desk."""
