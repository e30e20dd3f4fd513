"""The syllabus, rides, faults and the published marking of module 1."""
