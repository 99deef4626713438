"""`diag serve`: the guided walk, its results and an API, on pages that work without scripts.

Nothing is imported here, so that a test or a server can take one part without the heavy ones.
"""
