"""What the owner may set, and what those settings must be."""
