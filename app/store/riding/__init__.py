"""The syllabus and the rides."""
