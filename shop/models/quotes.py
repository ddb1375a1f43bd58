"""Quotations: a price for wheels that may be ordered, in revisions that are frozen when they are sent."""

from django.conf import settings
from django.db import models
from django.db.models import Q

from jobs.models import Customer, LibraryMakeUp, Lot, MakeUpColumns, Order
from jobs.models.operations import Trade, Work


class Quote(models.Model):
    """One quotation to one customer, through all its revisions; customer and carriage are those of the newest."""

    number = models.PositiveIntegerField(unique=True)
    customer = models.ForeignKey(Customer, models.PROTECT, related_name="quotes")
    carriage = models.CharField(max_length=80)
    # Minted with the form, so that a form sent twice makes one quotation.
    token = models.UUIDField(unique=True)
    created_at = models.DateTimeField()
    created_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, related_name="+")
    # The order whose alteration this prices: accepting it makes no other.
    alters = models.ForeignKey(Order, models.PROTECT, null=True, blank=True, related_name="alterations")
    # What accepting it made.
    order = models.OneToOneField(Order, models.PROTECT, null=True, blank=True, related_name="quote")

    class Meta:
        ordering = ["-number"]
        constraints = [
            models.CheckConstraint(name="quote_number_from_one", condition=Q(number__gte=1)),
            models.CheckConstraint(name="quote_makes_an_order_or_alters_one", condition=Q(order=None) | Q(alters=None)),
        ]

    def __str__(self) -> str:
        return f"Quotation {self.number}, {self.carriage}"


class RevisionQuerySet(models.QuerySet["Revision"]):
    def drafts(self) -> "RevisionQuerySet":
        return self.filter(state=Revision.State.DRAFT)

    def sent(self) -> "RevisionQuerySet":
        return self.filter(state=Revision.State.SENT)

    def with_money(self) -> "RevisionQuerySet":
        """Those on which a sum of money was written down."""
        own = Q(price_by=Revision.PriceBy.PRICE) | ~Q(own_pence={}) | Q(items__isnull=False)
        return self.filter(own | Q(sent_at__isnull=False))


class Revision(models.Model):
    """What is offered: a draft is reckoned anew at each look; once sent, it and all it rests on stay as they were.

    Percentages are basis points: 2000 is 20 %.
    """

    class State(models.TextChoices):
        DRAFT = "draft", "draft"
        SENT = "sent", "sent"
        ACCEPTED = "accepted", "accepted"
        REFUSED = "refused", "not wanted"
        REPLACED = "replaced", "replaced by a later one"

    class PriceBy(models.TextChoices):
        PRICE = "price", "a price of my own"
        MARGIN = "margin", "a margin"
        MARKUP = "markup", "a markup"
        CHANCE = "chance", "how likely the work is to cost no more"

    class Boxes(models.TextChoices):
        """Whose the boxes are that are fitted in the hubs."""

        UNTOLD = "", "not said"
        OURS = "ours", "ours"
        THEIRS = "theirs", "the customer’s"

    quote = models.ForeignKey(Quote, models.CASCADE, related_name="revisions")
    number = models.PositiveSmallIntegerField()
    state = models.CharField(max_length=8, choices=State, default=State.DRAFT)
    token = models.UUIDField(unique=True)
    changed_at = models.DateTimeField()
    # What was sent to one customer stays theirs, whoever a later revision is for.
    customer = models.ForeignKey(Customer, models.PROTECT, related_name="+")
    carriage = models.CharField(max_length=80)
    # Pence for a price, basis points for the others.
    price_by = models.CharField(max_length=6, choices=PriceBy, default=PriceBy.MARGIN)
    price_figure = models.BigIntegerField(default=2000)
    tax_bp = models.PositiveIntegerField(default=0)
    deposit_bp = models.PositiveIntegerField(default=0)
    valid_days = models.PositiveSmallIntegerField(default=30)
    weeks = models.PositiveSmallIntegerField(null=True, blank=True)
    boxes = models.CharField(max_length=6, choices=Boxes, default=Boxes.UNTOLD, db_default="", blank=True)
    excluded = models.TextField(blank=True)
    terms = models.TextField(blank=True)
    # Trades whose work somebody outside does at a price: its minutes cost nothing here.
    outside = models.JSONField(default=list, blank=True)
    # What is charged for a material instead of its price on the day: pence by the key of its row.
    own_pence = models.JSONField(default=dict, blank=True)
    # What each such figure was written for, by the same key: see `MaterialRow.wanted`.
    own_for = models.JSONField(default=dict, blank=True)
    # Set on sending, and never after.
    sent_at = models.DateTimeField(null=True, blank=True)
    sent_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    priced_on = models.DateField(null=True, blank=True)
    # The last day on which it may be accepted.
    last_on = models.DateField(null=True, blank=True)
    price_pence = models.BigIntegerField(null=True, blank=True)
    tax_pence = models.BigIntegerField(null=True, blank=True)
    deposit_pence = models.BigIntegerField(null=True, blank=True)
    # The shop's words for money as they were: an ISO code, and what it calls the tax.
    currency = models.CharField(max_length=3, blank=True)
    tax_name = models.CharField(max_length=20, blank=True)
    # Every figure that the price rests on, as it was: see `shop.quoting.frozen`.
    frozen = models.JSONField(null=True, blank=True)
    answered_at = models.DateTimeField(null=True, blank=True)
    answered_by = models.ForeignKey(settings.AUTH_USER_MODEL, models.PROTECT, null=True, blank=True, related_name="+")
    answer_note = models.CharField(max_length=200, blank=True)

    objects = RevisionQuerySet.as_manager()

    class Meta:
        ordering = ["quote", "number"]
        constraints = [
            models.UniqueConstraint(fields=["quote", "number"], name="revision_number_once_in_a_quote"),
            models.UniqueConstraint(fields=["quote"], condition=Q(state="draft"), name="revision_one_draft_of_a_quote"),
            models.UniqueConstraint(fields=["quote"], condition=Q(state="sent"), name="revision_one_sent_of_a_quote"),
            models.UniqueConstraint(fields=["quote"], condition=Q(state="accepted"), name="revision_accepted_once"),
            models.CheckConstraint(
                name="revision_frozen_once_sent",
                condition=Q(state="draft", sent_at=None, frozen=None, price_pence=None)
                | (
                    ~Q(state="draft")
                    & Q(sent_at__isnull=False, frozen__isnull=False, price_pence__isnull=False)
                    & Q(tax_pence__isnull=False, deposit_pence__isnull=False, last_on__isnull=False)
                ),
            ),
            models.CheckConstraint(
                name="revision_price_is_possible",
                condition=Q(price_figure__gte=0) & (Q(price_by__in=["price", "markup"]) | Q(price_figure__lt=10_000)),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.quote}, revision {self.number}"

    @property
    def is_draft(self) -> bool:
        return self.state == self.State.DRAFT

    @property
    def total_pence(self) -> int | None:
        """Price and tax together, once sent."""
        if self.price_pence is None or self.tax_pence is None:
            return None
        return self.price_pence + self.tax_pence


class QuoteLot(MakeUpColumns):
    """Wheels of one make-up in a revision. An alteration's may stand `instead_of` wheels of a lot of the order."""

    revision = models.ForeignKey(Revision, models.CASCADE, related_name="lots")
    name = models.CharField(max_length=80)
    # Places as `Wheel.Place` has them, one for each wheel.
    places = models.JSONField()
    work = models.CharField(max_length=12, choices=Work, default=Work.NEW)
    spare_spokes = models.PositiveSmallIntegerField(default=0)
    spare_felloes = models.PositiveSmallIntegerField(default=0)
    library = models.ForeignKey(LibraryMakeUp, models.SET_NULL, null=True, blank=True, related_name="+")
    instead_of = models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="+")
    # The ids of those wheels: nothing else tells loose ones apart.
    wheel_ids = models.JSONField(default=list, blank=True)
    # Minted with the form that put them into an alteration, so that they are in it once; a further revision keeps it.
    token = models.UUIDField(null=True, blank=True)
    # What the accepted alteration made of them.
    made = models.ForeignKey(Lot, models.PROTECT, null=True, blank=True, related_name="+")

    class Meta(MakeUpColumns.Meta):
        ordering = ["id"]
        constraints = list(MakeUpColumns.Meta.constraints)

    def __str__(self) -> str:
        return f"{self.name}, {self.revision}"

    @property
    def wheels(self) -> int:
        return len(self.places)


class QuoteItem(models.Model):
    """What a revision has beside wheels: outwork or goods at their cost, or a rate for what stripping may find."""

    class Kind(models.TextChoices):
        OUTWORK = "outwork", "work done outside"
        GOODS = "goods", "goods and other costs"
        # Told to the customer, and in no sum: so much each, if it is found and agreed to.
        RATE = "rate", "a rate for what may be found"

    class Per(models.TextChoices):
        SPOKE = "spoke", "a spoke"
        FELLOE = "felloe", "a felloe"
        HUB = "hub", "a hub"
        HOUR = "hour", "an hour"
        WHEEL = "wheel", "a wheel"

    revision = models.ForeignKey(Revision, models.CASCADE, related_name="items")
    kind = models.CharField(max_length=7, choices=Kind)
    what = models.CharField(max_length=160)
    # Cost to the shop; of a rate, what the customer is asked, before tax.
    amount_pence = models.BigIntegerField()
    trade = models.CharField(max_length=8, choices=Trade, blank=True)
    per = models.CharField(max_length=6, choices=Per, blank=True)

    class Meta:
        ordering = ["id"]
        constraints = [
            models.CheckConstraint(name="quote_item_not_negative", condition=Q(amount_pence__gte=0)),
            models.CheckConstraint(
                name="quote_item_per_goes_with_rate",
                condition=Q(kind="rate") & ~Q(per="") | ~Q(kind="rate") & Q(per=""),
            ),
        ]

    def __str__(self) -> str:
        return f"{self.what}, {self.revision}"
