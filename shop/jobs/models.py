"""Jobs, their tree of places, people and what each may do, and the history of every change."""

from typing import Any

from django.contrib.auth.models import AbstractBaseUser, BaseUserManager
from django.db import models

from shop.jobs import clock


class Role(models.TextChoices):
    FOREMAN = "foreman", "Foreman"
    INSTALLER = "installer", "Installer"
    LEAD = "lead", "Shop lead"
    HAND = "hand", "Shop hand"
    DRIVER = "driver", "Driver"
    OFFICE = "office", "Office"
    VIEWER = "viewer", "Viewer"


SHOP_ROLES = frozenset({Role.LEAD, Role.HAND, Role.DRIVER, Role.OFFICE})


class PersonManager(BaseUserManager["Person"]):
    def create_person(self, *, username: str, title: str, role: str, password: str | None) -> "Person":
        person = self.model(username=username, title=title, role=role)
        person.set_password(password)
        person.save()
        return person


class Person(AbstractBaseUser):
    """Somebody who signs in. Screens and paper show the title, a role in words, never a name."""

    username = models.CharField(max_length=60, unique=True)
    title = models.CharField(max_length=60)
    role = models.CharField(max_length=12, choices=Role.choices)
    is_active = models.BooleanField(default=True)
    joined_at = models.DateTimeField(default=clock.now)
    left_at = models.DateTimeField(null=True, blank=True)
    jobs: "models.ManyToManyField[Job, Membership]" = models.ManyToManyField(
        "Job", through="Membership", related_name="people"
    )

    USERNAME_FIELD = "username"
    objects = PersonManager()

    def __str__(self) -> str:
        return self.title

    @property
    def in_shop(self) -> bool:
        """The shop sees all jobs; the field sees its own."""
        return self.role in SHOP_ROLES


class Licence(models.Model):
    """A person's licence, dated: needed on the day of an override of a rule."""

    person = models.ForeignKey(Person, on_delete=models.PROTECT, related_name="licences")
    number = models.CharField(max_length=40)
    since = models.DateField()
    until = models.DateField(null=True, blank=True)

    def __str__(self) -> str:
        return f"{self.number} since {self.since}"


class Job(models.Model):
    name = models.CharField(max_length=80, unique=True)
    address = models.CharField(max_length=200, blank=True)
    time_zone = models.CharField(max_length=60, default="America/Chicago")
    opened_at = models.DateTimeField(default=clock.now)
    closed_at = models.DateTimeField(null=True, blank=True)

    JOB_PATH = "pk"

    def __str__(self) -> str:
        return self.name


class Membership(models.Model):
    job = models.ForeignKey(Job, on_delete=models.CASCADE)
    person = models.ForeignKey(Person, on_delete=models.CASCADE)

    class Meta:
        constraints = [models.UniqueConstraint(fields=["job", "person"], name="membership_once")]

    def __str__(self) -> str:
        return f"{self.person} on {self.job}"


class PlaceKind(models.TextChoices):
    SHOP = "shop", "Shop"
    RACK = "rack", "Rack"
    BENCH = "bench", "Bench"
    BIN = "bin", "Scrap bin"
    JOB = "job", "Job"
    BUILDING = "building", "Building"
    LEVEL = "level", "Level"
    AREA = "area", "Area"
    ROOM = "room", "Room"
    WALL = "wall", "Wall"
    DROP = "drop", "Drop point"
    TRUCK = "truck", "Truck"


class Place(models.Model):
    """One place of a tree: a job's, the shop's or the road's. `path` holds the keys from the root down, "/1/7/"."""

    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True, related_name="places")
    parent = models.ForeignKey("self", on_delete=models.PROTECT, null=True, blank=True, related_name="children")
    kind = models.CharField(max_length=10, choices=PlaceKind.choices)
    name = models.CharField(max_length=80)
    path = models.CharField(max_length=200, db_index=True, blank=True)
    full_name = models.CharField(max_length=300, blank=True)
    code = models.CharField(max_length=10, unique=True)
    closes_at = models.DateTimeField(null=True, blank=True)
    closes_word = models.CharField(max_length=40, blank=True)
    made_at = models.DateTimeField(default=clock.now)
    retired_at = models.DateTimeField(null=True, blank=True)

    JOB_PATH = "job"

    class Meta:
        constraints = [
            models.UniqueConstraint(fields=["parent", "name"], name="place_name_once"),
            models.UniqueConstraint(fields=["job", "name"], condition=models.Q(parent=None), name="place_root_once"),
        ]

    def __str__(self) -> str:
        return self.full_name or self.name


class History(models.Model):
    """One row by every service, in its own transaction, whatever it changed. Never edited, never deleted."""

    at = models.DateTimeField(default=clock.now)
    person = models.ForeignKey(Person, on_delete=models.PROTECT, null=True, blank=True)
    role = models.CharField(max_length=12, blank=True)
    action = models.CharField(max_length=40)
    job = models.ForeignKey(Job, on_delete=models.PROTECT, null=True, blank=True)
    subject = models.CharField(max_length=20)
    subject_id = models.BigIntegerField()
    data = models.JSONField(default=dict)

    JOB_PATH = "job"

    class Meta:
        indexes = [models.Index(fields=["subject", "subject_id", "at"]), models.Index(fields=["job", "at"])]

    def __str__(self) -> str:
        return f"{self.at:%Y-%m-%d %H:%M} {self.action}"

    def save(self, *args: Any, **kwargs: Any) -> None:
        if self.pk:
            raise TypeError("a history row is never changed")
        super().save(*args, **kwargs)

    def delete(self, *args: Any, **kwargs: Any) -> tuple[int, dict[str, int]]:
        raise TypeError("a history row is never deleted")
