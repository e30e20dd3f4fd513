"""Students and instructors."""
