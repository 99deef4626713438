"""Numbered changes of the tables, run by Alembic; `diag.caselog.migrate` starts them."""
