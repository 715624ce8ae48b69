"""Services of the work: release, record, remake. What they share and how they do it stands in the modules behind.

Each is one transaction under the log's lock; rows of pieces are folded again from their records, never patched.
"""

from shop.work.recording import Recorded, record_add, records_add, refused_read
from shop.work.releasing import present_release, revision_ok_and_release, revision_release
from shop.work.remaking import piece_remake
from shop.work.said import Said

__all__ = [
    "Recorded",
    "Said",
    "piece_remake",
    "present_release",
    "record_add",
    "records_add",
    "refused_read",
    "revision_ok_and_release",
    "revision_release",
]
