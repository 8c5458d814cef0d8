"""All tables together, for the migrations to be held against."""

from webapp.storage import shop_rows
from webapp.storage.rows import Base

__all__ = ["metadata", "shop_rows"]

metadata = Base.metadata
