"""The riding rules: marking, verdict, syllabus."""
