"""All tables together, for the migrations to be held against."""

from webapp.ground.database import record_rows, shop_rows
from webapp.ground.database.setup_rows import Base

__all__ = ["metadata", "record_rows", "shop_rows"]

metadata = Base.metadata
