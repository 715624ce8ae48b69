"""What was printed: asked for, counted and dated. An old print's code still answers."""

from django.db import models

from shop.jobs import clock
from shop.jobs.models import Person, Place
from shop.work.models import Piece, Release


class PaperKind(models.TextChoices):
    TICKET = "ticket", "Ticket"
    LABEL = "label", "Label"
    SIGN = "sign", "Place sign"


class Print(models.Model):
    """One asking for one sheet: the nth print of a release's ticket, a piece's label or a place's sign."""

    kind = models.CharField(max_length=8, choices=PaperKind.choices)
    release = models.ForeignKey(Release, on_delete=models.PROTECT, null=True, blank=True, related_name="prints")
    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, null=True, blank=True, related_name="prints")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="prints")
    number = models.PositiveIntegerField()
    stock = models.CharField(max_length=30, blank=True)
    asked_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="prints")
    asked_at = models.DateTimeField(default=clock.now)

    JOB_PATH = "release__revision__run__job"

    class Meta:
        # Locks keep numbers apart; these keep them apart where a lock was forgotten.
        constraints = [
            models.UniqueConstraint(
                fields=["kind", subject, "number"], condition=models.Q(**{f"{subject}__isnull": False}), name=name
            )
            for subject, name in (
                ("release", "ticket_number_once"),
                ("piece", "label_number_once"),
                ("place", "sign_number_once"),
            )
        ]

    def __str__(self) -> str:
        return f"{self.kind} print {self.number}"
