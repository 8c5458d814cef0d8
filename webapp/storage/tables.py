"""All tables together, for the migrations to be held against."""

from webapp.storage import bench_rows, shop_rows
from webapp.storage.rows import Base

__all__ = ["bench_rows", "metadata", "shop_rows"]

metadata = Base.metadata
