"""What actions may name of the database: a connection to hand on, and the refusal of a row that is already taken."""

from sqlalchemy import Connection
from sqlalchemy.exc import IntegrityError as RowTakenError

__all__ = ["Connection", "RowTakenError"]
