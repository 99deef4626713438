"""Findings turned into what a person or a program reads. Nothing is computed here."""
