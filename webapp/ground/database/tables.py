"""All tables together, for the migrations to be held against."""

from webapp.ground.database import record_rows as bench_rows
from webapp.ground.database import shop_rows
from webapp.ground.database.setup_rows import Base

__all__ = ["bench_rows", "metadata", "shop_rows"]

metadata = Base.metadata
