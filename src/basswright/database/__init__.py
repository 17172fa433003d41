"""Where is it kept? One database for catalogue and jobs: engine, tables, migrations."""
