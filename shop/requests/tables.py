"""The list of runs."""

import django_tables2 as tables
from django.db.models import F, QuerySet

from shop.requests.models import Revision


class RunTable(tables.Table):
    """One row a run; what needs an answer first. On a phone a row of three: tag, words, state."""

    tag = tables.TemplateColumn(
        template_name="requests/_list_tag.html", order_by="run__tag", attrs={"td": {"class": "at-tag"}}
    )
    what = tables.TemplateColumn(
        template_name="requests/_list_what.html",
        verbose_name="What and where",
        order_by=("run__place__full_name", "run__tag"),
        attrs={"td": {"class": "at-words"}},
    )
    size = tables.TemplateColumn("{{ record|size }}", verbose_name="Conduit", order_by=("raceway", "size"))
    quantity = tables.TemplateColumn("× {{ record.quantity }}", verbose_name="How many", order_by="quantity")
    needed = tables.TemplateColumn(template_name="requests/_list_needed.html", order_by="needed_at")
    asked = tables.TemplateColumn(
        "{{ record.sent_at|default:record.made_at|when:record.run.job }}",
        order_by="made_at",
        attrs={"td": {"class": "at-desk"}},
    )
    state = tables.TemplateColumn(
        template_name="requests/_list_state.html", order_by="rank", attrs={"td": {"class": "at-end"}}
    )

    class Meta:
        model = Revision
        fields: tuple[str, ...] = ()
        sequence = ("tag", "what", "size", "quantity", "needed", "asked", "state")
        attrs = {"class": "table runs"}

    def order_needed(self, rows: QuerySet[Revision], descending: bool) -> tuple[QuerySet[Revision], bool]:
        """What has no hour stands last either way."""
        hour = F("needed_at")
        return rows.order_by(hour.desc(nulls_last=True) if descending else hour.asc(nulls_last=True)), True
