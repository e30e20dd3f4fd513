"""The yard: recording rides."""
