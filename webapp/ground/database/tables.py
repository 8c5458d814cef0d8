"""All tables together, for the migrations to be held against."""

from webapp.ground.database import bike_rows, record_rows, shop_rows, stack_rows
from webapp.ground.database.setup_rows import Base

__all__ = ["bike_rows", "metadata", "record_rows", "shop_rows", "stack_rows"]

metadata = Base.metadata
