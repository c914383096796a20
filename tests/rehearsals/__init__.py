"""Bad days, played through: `python -m tests.rehearsals NAME` writes what was lost.

Each starts a whole service in processes of its own, has another process write readings
over HTTP and note what was acknowledged, does the harm, and has a third one judge from
the notes and the database what was lost and what was doubled. 0 and 0, or it fails.
"""
