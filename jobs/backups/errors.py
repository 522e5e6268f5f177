"""Why a back-up could not be made or put back, in sentences that say what to do."""


class BackupError(Exception):
    """Base of the refusals of this package; `str(error)` is shown as it is."""


class BackupNotMade(BackupError):
    """Nothing was kept: the folder, a program or the room on the disk is missing."""


class BackupDamaged(BackupError):
    """A file of the back-up is missing, or is not what was written."""


class TargetInUse(BackupError):
    """Where it should be put back already holds a shop."""
