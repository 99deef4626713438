"""Many cases at once: CSV, YAML and JSON lines in, findings, faults and a summary out, in flat memory."""
