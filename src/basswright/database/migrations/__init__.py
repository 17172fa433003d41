"""The steps from one state of the tables to the next, run by Alembic."""
