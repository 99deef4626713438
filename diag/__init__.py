"""Field-condition diagnostic assistant for grease-lubricated bearings, pins and slideways."""

__version__ = "0.1.0"
