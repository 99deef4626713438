"""How good the knowledge is, as far as that can be told without a field: worlds drawn to differ from it."""
