"""What is stored: one model for each table of rows, what was done to them, and the people who may."""

from footring.records.models.access import ApiToken, FailedSignIn
from footring.records.models.history import Act, Change
from footring.records.models.jobs import Job, State
from footring.records.models.later import LaterCheck
from footring.records.models.people import Invitation, Paper, Role, User
from footring.records.models.shelf import Shelved, Word
from footring.records.models.stored import MODELS, Stored
from footring.records.models.views import SavedView

globals().update({model.__name__: model for model in MODELS.values()})

__all__ = [
    "MODELS",
    "Act",
    "ApiToken",
    "Change",
    "FailedSignIn",
    "Invitation",
    "Job",
    "LaterCheck",
    "Paper",
    "Role",
    "SavedView",
    "Shelved",
    "State",
    "Stored",
    "User",
    "Word",
    *(m.__name__ for m in MODELS.values()),
]
