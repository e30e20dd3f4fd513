"""What the engine knows of each student."""
