"""The technician's own words: free text read as signs and quantities, and a case with what its `said` adds."""

from diag.words.heard import heard, news
from diag.words.quantities import FromWords
from diag.words.reading import Reading, read

__all__ = ["FromWords", "Reading", "heard", "news", "read"]
