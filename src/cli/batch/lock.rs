//! Two runs must not write the same results at the same time. The system lets go of the lock however a run ends.

use std::fs::{File, TryLockError};

use super::super::Failure;
use super::store::Store;

/// The lock that every run asks for.
pub(super) const WHOLE: &str = "batch.lock";

/// Held as long as the run goes on.
pub(super) struct Lock {
    _whole: Option<File>,
    _share: Option<File>,
}

impl Lock {
    /// A run over all plans shuts out every other in the same folder; a run over one share shuts out those over all
    /// and those over the same share.
    pub(super) fn take(store: &Store) -> Result<Self, Failure> {
        let whole = open(store, WHOLE)?;
        let Some(shard) = store.shard else {
            return Ok(Self {
                _whole: held(store, whole.try_lock(), whole)?,
                _share: None,
            });
        };
        let share = open(store, &format!("batch.{}.lock", shard.label()))?;
        Ok(Self {
            _whole: held(store, whole.try_lock_shared(), whole)?,
            _share: held(store, share.try_lock(), share)?,
        })
    }
}

fn open(store: &Store, name: &str) -> Result<File, Failure> {
    let path = store.folder.join(name);
    (File::options().create(true).append(true).open(&path))
        .map_err(|e| super::store::unwritable(&path, &e))
}

fn held(
    store: &Store,
    taken: Result<(), TryLockError>,
    file: File,
) -> Result<Option<File>, Failure> {
    match taken {
        Ok(()) => Ok(Some(file)),
        Err(TryLockError::WouldBlock) => Err(Failure::usage(
            "batch-running",
            format!(
                "Another batch is writing into {}: wait for it, or give another folder with --out.",
                store.folder.display()
            ),
        )),
        // Some network file systems know no locks; there the user has to see to it.
        Err(TryLockError::Error(_)) => Ok(None),
    }
}
