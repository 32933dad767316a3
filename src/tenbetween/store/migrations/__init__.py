"""The steps from one form of the database to the next, oldest first; a step is never changed once
released.
"""
