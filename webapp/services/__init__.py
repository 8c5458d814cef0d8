"""One function for each thing a user can do."""

from webapp.services.append_revision import NextRevision, append_revision
from webapp.services.check_bounce import check_bounce
from webapp.services.check_health import check_health, check_schema
from webapp.services.check_sag import check_sag
from webapp.services.create_setup import create_setup
from webapp.services.delete_setup import delete_setup
from webapp.services.errors import (
    ConflictError,
    IdempotencyError,
    LinkGoneError,
    LinkUnknownError,
    ServiceError,
)
from webapp.services.export_setup import export_setup
from webapp.services.find_setup import find_setup
from webapp.services.list_revisions import RevisionEnd, RevisionLine, list_revisions
from webapp.services.owned import find_owned
from webapp.services.plan_travel import PlannedTravel, change_travel, describe_stack, plan_travel
from webapp.services.preview_changes import Preview, preview_changes
from webapp.services.purge_expired import purge_expired
from webapp.services.renew_link import renew_link
from webapp.services.report_ride import report_ride
from webapp.services.restore_revision import restore_revision
from webapp.services.save_changes import save_changes
from webapp.services.saved import CreatedSetup, SavedSetup

__all__ = [
    "ConflictError",
    "CreatedSetup",
    "IdempotencyError",
    "LinkGoneError",
    "LinkUnknownError",
    "NextRevision",
    "PlannedTravel",
    "Preview",
    "RevisionEnd",
    "RevisionLine",
    "SavedSetup",
    "ServiceError",
    "append_revision",
    "change_travel",
    "check_bounce",
    "check_health",
    "check_sag",
    "check_schema",
    "create_setup",
    "delete_setup",
    "describe_stack",
    "export_setup",
    "find_owned",
    "find_setup",
    "list_revisions",
    "plan_travel",
    "preview_changes",
    "purge_expired",
    "renew_link",
    "report_ride",
    "restore_revision",
    "save_changes",
]
