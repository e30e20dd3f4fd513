"""What is true: the trade in code. Pure Python, no clock, no randomness, no input or output."""
