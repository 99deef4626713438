"""The knowledge: loaded from YAML, checked against its structures, frozen."""

from diag.knowledgebase.checks import Issue, check
from diag.knowledgebase.knowledge import Knowledge
from diag.knowledgebase.loader import data_folder, load, standard

__all__ = ["Issue", "Knowledge", "check", "data_folder", "load", "standard"]
