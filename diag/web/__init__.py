"""`diag serve`: the guided walk, its results and an API, on pages that work without scripts.

Nothing is imported here, so that the command line can ask for one part (`extra`) before the heavy ones.
"""
