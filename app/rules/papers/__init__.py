"""Certificates, ages and the dates that open and close a student's way to the test."""
