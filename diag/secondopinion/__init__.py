"""The optional second opinion: a classifier trained on invented cases, beside a review; it changes nothing."""
