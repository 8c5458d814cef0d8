"""What actions may use of the database: a connection to pass on, and the error for a row that already exists."""

from sqlalchemy import Connection
from sqlalchemy.exc import IntegrityError as RowTakenError

__all__ = ["Connection", "RowTakenError"]
