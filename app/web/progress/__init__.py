"""What is not yet clean and consistent, and what to practise."""
