"""The parts of the terminal page, one topic a module; each function gives its lines, or none."""
