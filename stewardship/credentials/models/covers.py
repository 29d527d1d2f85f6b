"""What credentials are for."""

from django.db import models


class Covers(models.TextChoices):
    """What a credential is for."""

    HERBICIDE_APPLICATION = "herbicide_application", "herbicide credential"
    SAW = "saw", "saw certificate"
    FIRST_AID = "first_aid", "first-aid certificate"
    BURNING = "burning", "burn certificate"
    TRAINING = "training", "training"
