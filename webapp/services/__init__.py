"""One function for each thing a user can do."""

from webapp.services.append_revision import NextRevision, append_revision
from webapp.services.bench_record import (
    BenchChange,
    BenchRecord,
    RecordBlockedError,
    RecordClosedError,
    RecordUnknownError,
)
from webapp.services.change_record import draft_setup, link_setup, note_found, note_left, record_step
from webapp.services.check_bounce import check_bounce
from webapp.services.check_health import check_health, check_schema
from webapp.services.check_sag import check_sag
from webapp.services.close_record import ClosedRecord, close_record, expected_setup, reasons_against_closing
from webapp.services.create_setup import create_setup
from webapp.services.delete_setup import delete_setup
from webapp.services.edit_checklist import ChecklistError, find_checklist, save_checklist
from webapp.services.errors import (
    ConflictError,
    IdempotencyError,
    LinkGoneError,
    LinkUnknownError,
    ServiceError,
)
from webapp.services.export_setup import export_setup
from webapp.services.find_records import RecordPage, find_record, find_records, find_service
from webapp.services.find_setup import find_setup
from webapp.services.list_revisions import RevisionEnd, RevisionLine, list_revisions
from webapp.services.open_record import open_record
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
    "BenchChange",
    "BenchRecord",
    "ChecklistError",
    "ClosedRecord",
    "ConflictError",
    "CreatedSetup",
    "IdempotencyError",
    "LinkGoneError",
    "LinkUnknownError",
    "NextRevision",
    "PlannedTravel",
    "Preview",
    "RecordBlockedError",
    "RecordClosedError",
    "RecordPage",
    "RecordUnknownError",
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
    "close_record",
    "create_setup",
    "delete_setup",
    "describe_stack",
    "draft_setup",
    "expected_setup",
    "export_setup",
    "find_checklist",
    "find_owned",
    "find_record",
    "find_records",
    "find_service",
    "find_setup",
    "link_setup",
    "list_revisions",
    "note_found",
    "note_left",
    "open_record",
    "plan_travel",
    "preview_changes",
    "purge_expired",
    "reasons_against_closing",
    "record_step",
    "renew_link",
    "report_ride",
    "restore_revision",
    "save_changes",
    "save_checklist",
]
