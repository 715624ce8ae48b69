"""What the later stages hear of the paper, inside the transaction that changes it.

Metal of an older revision must be flagged the moment a newer one is sent, but the records of metal belong to a
later stage, which this one may not import.
"""

from django.dispatch import Signal

# revision, actor: a revision after the first is sent, and so is the present one
revision_superseded = Signal()
# revision, actor: such a revision is withdrawn, and the one before it is the present one again
revision_withdrawn = Signal()
