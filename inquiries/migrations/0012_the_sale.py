"""Conditions of holds, double entry, instalments, store credit, returns, papers."""

import django.db.models.deletion
from django.conf import settings
from django.db import migrations, models

from shop.facts import append_only


class Migration(migrations.Migration):
    dependencies = [
        ("catalog", "0013_consignment_and_work"),
        ("inquiries", "0011_what_carriers_ask"),
        ("shop", "0007_house_policies"),
        migrations.swappable_dependency(settings.AUTH_USER_MODEL),
    ]

    operations = [
        migrations.CreateModel(
            name="BankStep",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "step",
                    models.CharField(
                        choices=[
                            ("handed-in", "Handed in at the bank"),
                            ("shown", "Shown as credited, not final"),
                        ],
                        max_length=10,
                    ),
                ),
                ("on", models.DateField(verbose_name="day")),
                ("note", models.CharField(blank=True, max_length=200)),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "step at the bank",
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="CashReport",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("filed_on", models.DateField(verbose_name="filed on")),
                (
                    "note",
                    models.CharField(blank=True, max_length=200, verbose_name="number or how it was filed"),
                ),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "report of cash",
                "verbose_name_plural": "reports of cash",
            },
        ),
        migrations.CreateModel(
            name="CreditRow",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("amount", models.DecimalField(decimal_places=3, max_digits=13)),
                ("currency", models.CharField(max_length=3)),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "row of store credit",
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Exchange",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("amount", models.DecimalField(decimal_places=3, max_digits=13)),
                ("currency", models.CharField(max_length=3)),
                (
                    "rate",
                    models.DecimalField(
                        decimal_places=8,
                        help_text="Units of the sale’s currency for one of this.",
                        max_digits=18,
                    ),
                ),
                ("quoted_on", models.DateField(verbose_name="rate of")),
                ("source", models.CharField(max_length=200, verbose_name="where the rate stands")),
            ],
            options={
                "verbose_name": "exchange",
            },
        ),
        migrations.CreateModel(
            name="HoldNotice",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "what",
                    models.CharField(
                        choices=[
                            ("placed", "That it is held, and until when"),
                            ("extended", "That it is held longer"),
                            ("moved-up", "That it is now their turn"),
                            ("ending", "That the hold is about to end"),
                            ("ended", "That the hold has ended"),
                        ],
                        max_length=10,
                    ),
                ),
                (
                    "channel",
                    models.CharField(
                        choices=[
                            ("form", "Form on the site"),
                            ("mail", "E-mail"),
                            ("telephone", "Telephone"),
                            ("visit", "Visit"),
                            ("letter", "Letter"),
                        ],
                        max_length=10,
                        verbose_name="how",
                    ),
                ),
                ("note", models.CharField(blank=True, max_length=200)),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "notice of a hold",
                "verbose_name_plural": "notices of holds",
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Inspection",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("came_at", models.DateTimeField(verbose_name="came back")),
                (
                    "verdict",
                    models.CharField(
                        choices=[("as-sent", "As it was sent"), ("differs", "Not as it was sent")],
                        max_length=8,
                    ),
                ),
                ("note", models.TextField(blank=True)),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "inspection of a return",
            },
        ),
        migrations.CreateModel(
            name="InspectionLine",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("what", models.CharField(max_length=120, verbose_name="part or view")),
                ("recorded", models.CharField(blank=True, max_length=300, verbose_name="as recorded")),
                ("alike", models.BooleanField()),
                ("note", models.CharField(blank=True, max_length=300, verbose_name="what differs")),
            ],
            options={
                "verbose_name": "line of an inspection",
                "ordering": ["pk"],
            },
        ),
        migrations.CreateModel(
            name="Instalment",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("due_on", models.DateField(verbose_name="due on")),
                ("amount", models.DecimalField(decimal_places=3, max_digits=13)),
            ],
            options={
                "verbose_name": "instalment",
                "ordering": ["due_on", "pk"],
            },
        ),
        migrations.CreateModel(
            name="IssuedPaper",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "kind",
                    models.CharField(
                        choices=[
                            ("quotation", "Quotation"),
                            ("invoice", "Invoice"),
                            ("plan", "Instalment plan"),
                            ("bill", "Bill of sale"),
                            ("packing", "Packing list"),
                            ("customs", "Commercial invoice"),
                            ("statement", "Consignor’s statement"),
                            ("return", "Return note"),
                        ],
                        max_length=10,
                    ),
                ),
                ("number", models.CharField(max_length=16)),
                ("version", models.PositiveSmallIntegerField(default=1)),
                ("reason", models.CharField(blank=True, max_length=200, verbose_name="why it is made anew")),
                ("content", models.JSONField()),
                ("sha256", models.CharField(max_length=64, verbose_name="hash of the content")),
                (
                    "entry",
                    models.CharField(
                        help_text="One press of one form is one paper.", max_length=60, unique=True
                    ),
                ),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "issued paper",
                "ordering": ["kind", "number", "version"],
            },
        ),
        migrations.CreateModel(
            name="Loss",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("what", models.CharField(max_length=300, verbose_name="what the carrier says")),
                ("claim", models.CharField(blank=True, max_length=60, verbose_name="number of the claim")),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "lost parcel",
            },
        ),
        migrations.CreateModel(
            name="PaperFile",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("name", models.CharField(max_length=120, unique=True)),
                ("sha256", models.CharField(max_length=64)),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "file of a paper",
                "verbose_name_plural": "files of papers",
            },
        ),
        migrations.CreateModel(
            name="ParcelPicture",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("original_name", models.CharField(max_length=255)),
                ("sha256", models.CharField(max_length=64)),
                ("suffix", models.CharField(max_length=5)),
                ("bytes", models.PositiveBigIntegerField()),
                ("caption", models.CharField(blank=True, max_length=200, verbose_name="what it shows")),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "photograph before sealing",
                "verbose_name_plural": "photographs before sealing",
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Plan",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("grace_days", models.PositiveSmallIntegerField()),
                ("currency", models.CharField(max_length=3)),
                ("note", models.CharField(blank=True, max_length=300)),
                (
                    "entry",
                    models.CharField(
                        help_text="One press of one form is one plan.", max_length=60, unique=True
                    ),
                ),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "instalment plan",
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="Posting",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                (
                    "debit",
                    models.CharField(
                        choices=[
                            ("buyer", "Buyer"),
                            ("sales", "Sales"),
                            ("shipping", "Shipping charged"),
                            ("tax", "Tax owed"),
                            ("surcharge", "Card surcharges"),
                            ("fees", "Fees kept"),
                            ("received", "Received, not final"),
                            ("bank", "Bank, final"),
                            ("cash", "Cash in hand"),
                            ("trade-ins", "Taken in trade"),
                            ("credit", "Store credit owed"),
                            ("exchange", "Exchange difference"),
                            ("consigned", "Share of the consignor"),
                            ("consignor", "Owed to the consignor"),
                        ],
                        max_length=10,
                    ),
                ),
                (
                    "credit",
                    models.CharField(
                        choices=[
                            ("buyer", "Buyer"),
                            ("sales", "Sales"),
                            ("shipping", "Shipping charged"),
                            ("tax", "Tax owed"),
                            ("surcharge", "Card surcharges"),
                            ("fees", "Fees kept"),
                            ("received", "Received, not final"),
                            ("bank", "Bank, final"),
                            ("cash", "Cash in hand"),
                            ("trade-ins", "Taken in trade"),
                            ("credit", "Store credit owed"),
                            ("exchange", "Exchange difference"),
                            ("consigned", "Share of the consignor"),
                            ("consignor", "Owed to the consignor"),
                        ],
                        max_length=10,
                    ),
                ),
                ("minor", models.BigIntegerField(verbose_name="amount in minor units")),
                ("currency", models.CharField(max_length=3)),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "posting",
                "ordering": ["at", "pk"],
            },
        ),
        migrations.CreateModel(
            name="ReturnCall",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("said_at", models.DateTimeField(verbose_name="said so")),
                ("why", models.CharField(max_length=500, verbose_name="what the buyer says")),
                (
                    "late_reason",
                    models.CharField(
                        blank=True, max_length=300, verbose_name="why it is taken back though late"
                    ),
                ),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "return announced",
            },
        ),
        migrations.CreateModel(
            name="TaxBooking",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("percent", models.DecimalField(decimal_places=4, max_digits=7)),
                ("place", models.CharField(blank=True, max_length=60)),
                ("whole", models.DecimalField(decimal_places=3, max_digits=13, verbose_name="tax in all")),
                ("why", models.JSONField(default=list)),
            ],
            options={
                "verbose_name": "booking of a tax",
            },
        ),
        migrations.CreateModel(
            name="TradeIn",
            fields=[
                (
                    "id",
                    models.BigAutoField(
                        auto_created=True, primary_key=True, serialize=False, verbose_name="ID"
                    ),
                ),
                ("description", models.CharField(max_length=300)),
                ("at", models.DateTimeField()),
            ],
            options={
                "verbose_name": "trade-in",
            },
        ),
        migrations.RemoveConstraint(
            model_name="ledgerrow",
            name="ledger_sign",
        ),
        migrations.AddField(
            model_name="clearing",
            name="amount",
            field=models.DecimalField(
                blank=True,
                decimal_places=3,
                help_text="In the currency of the sale, where it is not what was quoted.",
                max_digits=13,
                null=True,
                verbose_name="what the bank booked",
            ),
        ),
        migrations.AddField(
            model_name="delivery",
            name="signed_by",
            field=models.CharField(blank=True, max_length=80),
        ),
        migrations.AddField(
            model_name="delivery",
            name="zone",
            field=models.CharField(blank=True, max_length=60, verbose_name="time zone of the buyer"),
        ),
        migrations.AddField(
            model_name="hold",
            name="balance_hours",
            field=models.PositiveIntegerField(
                blank=True,
                help_text="With a deposit: how long the balance may take, from the start.",
                null=True,
            ),
        ),
        migrations.AddField(
            model_name="hold",
            name="condition",
            field=models.CharField(
                choices=[("free", "Free"), ("deposit", "With a deposit")], default="free", max_length=8
            ),
        ),
        migrations.AddField(
            model_name="hold",
            name="extended_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="hold",
            name="extended_hours",
            field=models.PositiveIntegerField(default=0, verbose_name="made longer by, in hours"),
        ),
        migrations.AddField(
            model_name="hold",
            name="policy",
            field=models.ForeignKey(
                blank=True,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="shop.housepolicy",
            ),
        ),
        migrations.AddField(
            model_name="ledgerrow",
            name="received_at",
            field=models.DateTimeField(blank=True, null=True, verbose_name="came in, or went out"),
        ),
        migrations.AddField(
            model_name="sale",
            name="balance_due_at",
            field=models.DateTimeField(blank=True, null=True),
        ),
        migrations.AddField(
            model_name="sale",
            name="policy",
            field=models.ForeignKey(
                blank=True,
                editable=False,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="shop.housepolicy",
            ),
        ),
        migrations.AddField(
            model_name="sale",
            name="stage",
            field=models.CharField(
                choices=[
                    ("DEPOSIT", "Deposit taken"),
                    ("PAID", "Paid in full"),
                    ("SHIPPED", "Shipped"),
                    ("APPROVAL", "On approval"),
                    ("APPROVED", "Approval over"),
                    ("CLOSED", "Closed"),
                    ("RETURNED", "Returned"),
                    ("FELL_THROUGH", "Fell through"),
                ],
                default="DEPOSIT",
                help_text="A copy of what its rows say, as of the last deed.",
                max_length=12,
            ),
        ),
        migrations.AddField(
            model_name="shipment",
            name="address",
            field=models.TextField(blank=True, verbose_name="sent to"),
        ),
        migrations.AddField(
            model_name="shipment",
            name="identity",
            field=models.CharField(
                blank=True,
                help_text="Collected: the kind of paper that was looked at, never its number.",
                max_length=200,
                verbose_name="how the person was known",
            ),
        ),
        migrations.AddField(
            model_name="shipment",
            name="limit_reason",
            field=models.CharField(
                blank=True, max_length=300, verbose_name="why it goes above the insured value"
            ),
        ),
        migrations.AddField(
            model_name="shipment",
            name="signature",
            field=models.CharField(
                choices=[
                    ("none", "None"),
                    ("anybody", "Somebody at the address"),
                    ("buyer", "The buyer in person"),
                ],
                default="none",
                max_length=8,
                verbose_name="signature asked for",
            ),
        ),
        migrations.AddField(
            model_name="shipment",
            name="unpictured_reason",
            field=models.CharField(
                blank=True, max_length=300, verbose_name="why no photograph was taken before sealing"
            ),
        ),
        migrations.AlterField(
            model_name="hold",
            name="hours",
            field=models.PositiveIntegerField(verbose_name="length in hours"),
        ),
        migrations.AlterField(
            model_name="ledgerrow",
            name="amount",
            field=models.DecimalField(decimal_places=3, max_digits=13),
        ),
        migrations.AlterField(
            model_name="ledgerrow",
            name="kind",
            field=models.CharField(
                choices=[
                    ("price", "Price"),
                    ("shipping", "Shipping"),
                    ("tax", "Tax"),
                    ("surcharge", "Card surcharge"),
                    ("restocking", "Restocking fee"),
                    ("deposit", "Deposit"),
                    ("payment", "Payment"),
                    ("trade-in", "Trade-in"),
                    ("by-credit", "Paid by store credit"),
                    ("refund", "Refund"),
                    ("to-credit", "Given as store credit"),
                    ("credit", "Charge taken back"),
                    ("reversal", "Reversal"),
                ],
                max_length=10,
            ),
        ),
        migrations.AlterField(
            model_name="payout",
            name="amount",
            field=models.DecimalField(decimal_places=3, max_digits=13),
        ),
        migrations.AddConstraint(
            model_name="clearing",
            constraint=models.CheckConstraint(
                condition=models.Q(("amount__isnull", True), ("amount__gt", 0), _connector="OR"),
                name="clearing_positive",
            ),
        ),
        migrations.AddConstraint(
            model_name="hold",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("balance_hours__isnull", True), ("condition", "free")),
                    models.Q(("balance_hours__gte", models.F("hours")), ("condition", "deposit")),
                    _connector="OR",
                ),
                name="longer_hold_needs_deposit",
            ),
        ),
        migrations.AddConstraint(
            model_name="hold",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("extended_at__isnull", True), ("extended_hours", 0)),
                    models.Q(("extended_at__isnull", False), ("extended_hours__gt", 0)),
                    _connector="OR",
                ),
                name="extension_has_instant",
            ),
        ),
        migrations.AddConstraint(
            model_name="ledgerrow",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(
                        ("amount__gt", 0),
                        ("kind__in", ["price", "shipping", "surcharge", "restocking", "refund", "to-credit"]),
                    ),
                    models.Q(
                        ("amount__lt", 0),
                        ("kind__in", ["deposit", "payment", "trade-in", "by-credit", "credit"]),
                    ),
                    models.Q(("kind", "tax"), models.Q(("amount", 0), _negated=True)),
                    models.Q(("kind", "reversal"), models.Q(("amount", 0), _negated=True)),
                    _connector="OR",
                ),
                name="ledger_sign",
            ),
        ),
        migrations.AddField(
            model_name="bankstep",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="bankstep",
            name="row",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="bank_steps",
                to="inquiries.ledgerrow",
            ),
        ),
        migrations.AddField(
            model_name="cashreport",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="cashreport",
            name="row",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="cash_report",
                to="inquiries.ledgerrow",
            ),
        ),
        migrations.AddField(
            model_name="creditrow",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="creditrow",
            name="contact",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="credit_rows",
                to="inquiries.contact",
            ),
        ),
        migrations.AddField(
            model_name="creditrow",
            name="row",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="credit_row",
                to="inquiries.ledgerrow",
            ),
        ),
        migrations.AddField(
            model_name="exchange",
            name="row",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT, related_name="exchange", to="inquiries.ledgerrow"
            ),
        ),
        migrations.AddField(
            model_name="holdnotice",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="holdnotice",
            name="hold",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="notices", to="inquiries.hold"
            ),
        ),
        migrations.AddField(
            model_name="holdnotice",
            name="message",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="hold_notices",
                to="inquiries.message",
            ),
        ),
        migrations.AddField(
            model_name="inspection",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="inspection",
            name="sale",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT, related_name="inspection", to="inquiries.sale"
            ),
        ),
        migrations.AddField(
            model_name="inspectionline",
            name="inspection",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="lines", to="inquiries.inspection"
            ),
        ),
        migrations.AddField(
            model_name="inspectionline",
            name="photograph",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to="catalog.photograph",
            ),
        ),
        migrations.AddField(
            model_name="issuedpaper",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="issuedpaper",
            name="cancels",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="cancelled_by",
                to="inquiries.issuedpaper",
            ),
        ),
        migrations.AddField(
            model_name="issuedpaper",
            name="contact",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="issued_papers",
                to="inquiries.contact",
            ),
        ),
        migrations.AddField(
            model_name="issuedpaper",
            name="instrument",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="issued_papers",
                to="catalog.instrument",
            ),
        ),
        migrations.AddField(
            model_name="issuedpaper",
            name="sale",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="papers",
                to="inquiries.sale",
            ),
        ),
        migrations.AddField(
            model_name="loss",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="loss",
            name="shipment",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT, related_name="loss", to="inquiries.shipment"
            ),
        ),
        migrations.AddField(
            model_name="paperfile",
            name="paper",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="file",
                to="inquiries.issuedpaper",
            ),
        ),
        migrations.AddField(
            model_name="paperfile",
            name="receipt",
            field=models.OneToOneField(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="file",
                to="inquiries.receipt",
            ),
        ),
        migrations.AddField(
            model_name="parcelpicture",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="parcelpicture",
            name="sale",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="parcel_pictures",
                to="inquiries.sale",
            ),
        ),
        migrations.AddField(
            model_name="plan",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="plan",
            name="sale",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="plans", to="inquiries.sale"
            ),
        ),
        migrations.AddField(
            model_name="instalment",
            name="plan",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="instalments", to="inquiries.plan"
            ),
        ),
        migrations.AddField(
            model_name="posting",
            name="clearing",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="postings",
                to="inquiries.clearing",
            ),
        ),
        migrations.AddField(
            model_name="posting",
            name="payout",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="postings",
                to="inquiries.payout",
            ),
        ),
        migrations.AddField(
            model_name="posting",
            name="row",
            field=models.ForeignKey(
                blank=True,
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="postings",
                to="inquiries.ledgerrow",
            ),
        ),
        migrations.AddField(
            model_name="posting",
            name="sale",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="postings", to="inquiries.sale"
            ),
        ),
        migrations.AddField(
            model_name="returncall",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="returncall",
            name="sale",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT, related_name="return_call", to="inquiries.sale"
            ),
        ),
        migrations.AddField(
            model_name="taxbooking",
            name="policy",
            field=models.ForeignKey(
                on_delete=django.db.models.deletion.PROTECT, related_name="+", to="inquiries.taxpolicy"
            ),
        ),
        migrations.AddField(
            model_name="taxbooking",
            name="row",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="tax_booking",
                to="inquiries.ledgerrow",
            ),
        ),
        migrations.AddField(
            model_name="tradein",
            name="by",
            field=models.ForeignKey(
                null=True,
                on_delete=django.db.models.deletion.PROTECT,
                related_name="+",
                to=settings.AUTH_USER_MODEL,
            ),
        ),
        migrations.AddField(
            model_name="tradein",
            name="instrument",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT,
                related_name="taken_in_trade",
                to="catalog.instrument",
            ),
        ),
        migrations.AddField(
            model_name="tradein",
            name="row",
            field=models.OneToOneField(
                on_delete=django.db.models.deletion.PROTECT, related_name="trade_in", to="inquiries.ledgerrow"
            ),
        ),
        migrations.AddConstraint(
            model_name="bankstep",
            constraint=models.UniqueConstraint(fields=("row", "step"), name="bank_step_once"),
        ),
        migrations.AddConstraint(
            model_name="creditrow",
            constraint=models.CheckConstraint(
                condition=models.Q(("amount", 0), _negated=True), name="credit_not_zero"
            ),
        ),
        migrations.AddConstraint(
            model_name="exchange",
            constraint=models.CheckConstraint(
                condition=models.Q(("amount__gt", 0), ("rate__gt", 0)), name="exchange_positive"
            ),
        ),
        migrations.AddConstraint(
            model_name="exchange",
            constraint=models.CheckConstraint(
                condition=models.Q(("source", ""), _negated=True), name="exchange_has_source"
            ),
        ),
        migrations.AddConstraint(
            model_name="inspectionline",
            constraint=models.CheckConstraint(
                condition=models.Q(("alike", True), models.Q(("note", ""), _negated=True), _connector="OR"),
                name="difference_is_told",
            ),
        ),
        migrations.AddConstraint(
            model_name="issuedpaper",
            constraint=models.UniqueConstraint(
                fields=("kind", "number", "version"), name="paper_version_once"
            ),
        ),
        migrations.AddConstraint(
            model_name="issuedpaper",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("cancels__isnull", True), ("version", 1)),
                    models.Q(
                        ("cancels__isnull", False),
                        ("version__gt", 1),
                        models.Q(("reason", ""), _negated=True),
                    ),
                    _connector="OR",
                ),
                name="later_version_cancels_with_reason",
            ),
        ),
        migrations.AddConstraint(
            model_name="paperfile",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("paper__isnull", True), ("receipt__isnull", False)),
                    models.Q(("paper__isnull", False), ("receipt__isnull", True)),
                    _connector="OR",
                ),
                name="file_of_one_paper",
            ),
        ),
        migrations.AddConstraint(
            model_name="parcelpicture",
            constraint=models.UniqueConstraint(fields=("sale", "sha256"), name="parcel_picture_once"),
        ),
        migrations.AddConstraint(
            model_name="instalment",
            constraint=models.CheckConstraint(
                condition=models.Q(("amount__gt", 0)), name="instalment_positive"
            ),
        ),
        migrations.AddConstraint(
            model_name="instalment",
            constraint=models.UniqueConstraint(fields=("plan", "due_on"), name="one_instalment_a_day"),
        ),
        migrations.AddConstraint(
            model_name="posting",
            constraint=models.CheckConstraint(
                condition=models.Q(("minor__gt", 0)), name="posting_above_nought"
            ),
        ),
        migrations.AddConstraint(
            model_name="posting",
            constraint=models.CheckConstraint(
                condition=models.Q(("debit", models.F("credit")), _negated=True), name="posting_moves"
            ),
        ),
        migrations.AddConstraint(
            model_name="posting",
            constraint=models.CheckConstraint(
                condition=models.Q(
                    models.Q(("clearing__isnull", True), ("row__isnull", True)),
                    models.Q(("payout__isnull", True), ("row__isnull", True)),
                    models.Q(("clearing__isnull", True), ("payout__isnull", True)),
                    _connector="OR",
                ),
                name="posting_has_one_cause",
            ),
        ),
        append_only(
            "inquiries_ledgerrow",
            "inquiries_clearing",
            "inquiries_payout",
            "inquiries_shipment",
            "inquiries_delivery",
            "inquiries_bankstep",
            "inquiries_cashreport",
            "inquiries_creditrow",
            "inquiries_exchange",
            "inquiries_holdnotice",
            "inquiries_inspection",
            "inquiries_inspectionline",
            "inquiries_instalment",
            "inquiries_issuedpaper",
            "inquiries_loss",
            "inquiries_paperfile",
            "inquiries_parcelpicture",
            "inquiries_plan",
            "inquiries_posting",
            "inquiries_returncall",
            "inquiries_taxbooking",
            "inquiries_tradein",
        ),
    ]
