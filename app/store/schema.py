"""All tables in one place, for migrations and for whole-school work."""

from __future__ import annotations

from sqlalchemy import MetaData

import app.store.accounts.tables
import app.store.audit
import app.store.diary.tables
import app.store.once
import app.store.outbox
import app.store.papers.tables
import app.store.people.tables
import app.store.progress.tables
import app.store.riding.safety_tables
import app.store.riding.tables
import app.store.settings
import app.store.yards.tables  # noqa: F401
from app.store.columns import Base

METADATA: MetaData = Base.metadata
