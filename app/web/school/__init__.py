"""The owner's office and the audit."""
