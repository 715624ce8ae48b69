"""What the shop makes: releases, needs, pieces, and the records from which everything about a piece is derived."""

from typing import Any

from django.db import models

from shop.jobs import clock
from shop.jobs.models import Person, Place
from shop.requests.models import Paper, Profile, Revision, Run

DEAD_PAPER = (Paper.CHANGED, Paper.CANCELLED)


class Release(models.Model):
    """Freezes a revision, its layout and the bender's profile version. A later release kills this one's ticket.

    One with `remake_only` describes remade pieces alone, with their own dimensions; it replaces nothing.
    """

    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="releases")
    number = models.PositiveIntegerField(default=1)
    profile = models.ForeignKey(Profile, on_delete=models.PROTECT, related_name="releases")
    document = models.JSONField()
    layout = models.JSONField()
    shape = models.CharField(max_length=40, blank=True)
    remake_only = models.BooleanField(default=False)
    code = models.CharField(max_length=10, unique=True)
    released_by = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="releases")
    released_at = models.DateTimeField(default=clock.now)
    replaced_at = models.DateTimeField(null=True, blank=True)
    override_reason = models.CharField(max_length=300, blank=True)

    JOB_PATH = "revision__run__job"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["revision", "number"], name="release_once")]

    def __str__(self) -> str:
        return f"{self.revision}, release {self.number}"

    @property
    def dead(self) -> bool:
        """Whether its ticket is dead: replaced, or its revision was."""
        return self.replaced_at is not None or self.revision.state in DEAD_PAPER


class Need(models.Model):
    """One place's call for one piece: run, copy 3 of 8, part 1 of 2. The place is the run's."""

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="needs")
    copy = models.PositiveIntegerField()
    part = models.PositiveSmallIntegerField(default=1)
    made_at = models.DateTimeField(default=clock.now)

    JOB_PATH = "run__job"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["run", "copy", "part"], name="need_once")]

    def __str__(self) -> str:
        return f"{self.run.tag} copy {self.copy}"


class Piece(models.Model):
    """The metal: one bent stick, made for one need. What stands under the line is derived and kept for speed.

    `fills` is the run for which it counts as it stands; copies are interchangeable, so the run says enough.
    `level`: 0 in shop, 1 on truck, 2 here, 3 in. `apart`: on site, but not counted there as it stands. `dead`: its
    metal is another piece now.
    """

    run = models.ForeignKey(Run, on_delete=models.PROTECT, related_name="pieces")
    need = models.ForeignKey(Need, on_delete=models.PROTECT, related_name="pieces")
    release = models.ForeignKey(Release, on_delete=models.PROTECT, related_name="pieces")
    revision = models.ForeignKey(Revision, on_delete=models.PROTECT, related_name="pieces")
    copy = models.PositiveIntegerField()
    part = models.PositiveSmallIntegerField(default=1)
    remake = models.PositiveSmallIntegerField(default=0)
    remake_of = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="remakes")
    code = models.CharField(max_length=10, unique=True)
    skips = models.JSONField(default=list, blank=True)
    made_at = models.DateTimeField(default=clock.now)

    # derived from the records; only shop.work.rows writes it
    step = models.CharField(max_length=12, default="released")
    rank = models.PositiveSmallIntegerField(default=0)
    level = models.PositiveSmallIntegerField(default=0)
    good = models.BooleanField(default=True)
    fills = models.ForeignKey(Run, on_delete=models.PROTECT, null=True, blank=True, related_name="filled_by")
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="pieces_here")
    box = models.CharField(max_length=30, blank=True)
    load = models.CharField(max_length=30, blank=True)
    trip = models.CharField(max_length=30, blank=True)
    word = models.CharField(max_length=16, default="CUT")
    flags = models.JSONField(default=list, blank=True)
    not_seen = models.JSONField(default=list, blank=True)
    account = models.CharField(max_length=12, blank=True)
    apart = models.BooleanField(default=False)
    dead = models.BooleanField(default=False)
    replaced_by = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="+")
    last_record = models.ForeignKey(
        "Record", on_delete=models.PROTECT, null=True, blank=True, related_name="+", db_index=False
    )
    seen_at = models.DateTimeField(null=True, blank=True)

    JOB_PATH = "run__job"

    class Meta:
        constraints = [models.UniqueConstraint(fields=["revision", "copy", "part", "remake"], name="piece_once")]
        indexes = [
            models.Index(fields=["fills", "level"], name="piece_fills_level"),
            models.Index(fields=["run", "step"], name="piece_run_step"),
        ]

    def __str__(self) -> str:
        remade = f" R{self.remake}" if self.remake else ""
        return f"{self.run.tag}{remade}, copy {self.copy}"

    @property
    def flags_told(self) -> list[str]:
        """The flags that still matter to whoever has it in his hand: metal that is scrap is nothing else."""
        return ["SCRAP"] if "SCRAP" in self.flags else list(self.flags)


class Record(models.Model):
    """One fact: who did what to a piece, a run or another record, when and where. Never edited, never deleted.

    `fields` are the verb's own, with other pieces and runs by key; `answers` are the nonces that it names. The rows of
    RecordPiece and RecordName say the same again, for looking them up the other way.
    """

    nonce = models.CharField(max_length=64, unique=True)
    verb = models.CharField(max_length=16)
    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, null=True, blank=True, related_name="records")
    run = models.ForeignKey(Run, on_delete=models.PROTECT, null=True, blank=True, related_name="records")
    annuls = models.CharField(max_length=64, blank=True)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="records")
    role = models.CharField(max_length=12)
    device = models.CharField(max_length=64)
    seq = models.BigIntegerField(default=0)
    done_at = models.DateTimeField()
    sent_at = models.DateTimeField()
    recorded_at = models.DateTimeField(default=clock.now)
    at = models.DateTimeField()
    phone_clock = models.BooleanField(default=False)
    place = models.ForeignKey(Place, on_delete=models.PROTECT, null=True, blank=True, related_name="records")
    reason = models.CharField(max_length=300, blank=True)
    fields = models.JSONField(default=dict, blank=True)
    answers = models.JSONField(default=list, blank=True)
    for_run = models.ForeignKey(Run, on_delete=models.PROTECT, null=True, blank=True, related_name="+", db_index=False)

    JOB_PATH = "piece__run__job"

    class Meta:
        constraints = [
            models.CheckConstraint(
                name="record_has_one_subject",
                condition=models.Q(piece__isnull=False, run__isnull=True, annuls="")
                | models.Q(piece__isnull=True, run__isnull=False, annuls="")
                | (models.Q(piece__isnull=True, run__isnull=True) & ~models.Q(annuls="")),
            )
        ]
        indexes = [
            models.Index(fields=["piece", "at"], condition=models.Q(piece__isnull=False), name="record_of_piece"),
            models.Index(fields=["run", "at"], condition=models.Q(run__isnull=False), name="record_of_run"),
            models.Index(fields=["for_run"], condition=models.Q(for_run__isnull=False), name="record_for_run"),
            models.Index(fields=["person", "at"], name="record_of_person"),
        ]

    def __str__(self) -> str:
        return f"{self.verb} {self.at:%Y-%m-%d %H:%M}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk:
            raise TypeError("a record is never changed; it is answered by another")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise TypeError("a record is never deleted; it is answered by another")


class RecordName(models.Model):
    """A nonce that a record answers, or annuls. Not a foreign key: the named record may arrive later."""

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="names")
    named = models.CharField(max_length=64, db_index=True)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["record", "named"], name="name_once")]

    def __str__(self) -> str:
        return self.named


class RecordPiece(models.Model):
    """The other pieces of a record: a remake's child, a swap's other, a decision's newer piece."""

    record = models.ForeignKey(Record, on_delete=models.PROTECT, related_name="others")
    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, related_name="record_others")
    word = models.CharField(max_length=10)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["record", "piece", "word"], name="other_piece_once")]

    def __str__(self) -> str:
        return self.word


class RefusedRecord(models.Model):
    """What somebody said that can't be taken, as it came, with the reason: shown to its maker, never dropped."""

    nonce = models.CharField(max_length=64, unique=True)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="refused_records")
    role = models.CharField(max_length=12)
    piece = models.ForeignKey(Piece, on_delete=models.PROTECT, null=True, blank=True, related_name="refused_records")
    code = models.CharField(max_length=30)
    about = models.CharField(max_length=64, blank=True)
    said = models.JSONField(default=dict)
    recorded_at = models.DateTimeField(default=clock.now)
    read_at = models.DateTimeField(null=True, blank=True)

    JOB_PATH = "piece__run__job"

    class Meta:
        indexes = [models.Index(fields=["person", "read_at"], name="refused_of_person")]

    def __str__(self) -> str:
        return f"refused: {self.code}"


class Line(models.Model):
    """What one person or role is told about a record: `already`, `decide old rev` … Derived, kept for speed."""

    code = models.CharField(max_length=30)
    piece = models.ForeignKey(Piece, on_delete=models.CASCADE, null=True, blank=True, related_name="lines")
    record = models.ForeignKey(Record, on_delete=models.CASCADE, null=True, blank=True, related_name="lines")
    person = models.ForeignKey(Person, on_delete=models.CASCADE, null=True, blank=True, related_name="lines")
    role = models.CharField(max_length=12, blank=True)

    JOB_PATH = "piece__run__job"

    class Meta:
        indexes = [
            models.Index(fields=["person", "code"], name="line_to_person"),
            models.Index(fields=["role", "code"], name="line_to_role"),
        ]

    def __str__(self) -> str:
        return self.code


class RecordLock(models.Model):
    """The log's one row that a writer locks: two writers on one neighbourhood would lose an update without it.

    `seq` numbers the records that the server makes itself, as a device numbers its own.
    """

    seq = models.BigIntegerField(default=0)

    def __str__(self) -> str:
        return "the record log"
