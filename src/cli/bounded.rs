//! Files no longer than the system lets them be.

use std::io::{self, Write};

/// A new file that grows no longer than the system lets this process make files (`ulimit -f`): one byte beyond that the system
/// would end the program, and leave the file.
pub(crate) struct Bounded<F> {
    file: F,
    room: u64,
}

impl<F> Bounded<F> {
    pub(crate) fn new(file: F) -> Self {
        let room = longest_file();
        Self { file, room }
    }

    /// Standard output, which is a file perhaps, with something in it.
    pub(crate) fn stdout(file: F) -> Self {
        let room = longest_file().saturating_sub(in_stdout_already());
        Self { file, room }
    }

    pub(crate) const fn file(&self) -> &F {
        &self.file
    }

    pub(crate) fn into_file(self) -> F {
        self.file
    }
}

impl<F: Write> Write for Bounded<F> {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if bytes.len() as u64 > self.room {
            let told =
                "it would be longer than the system lets this process make a file (ulimit -f)";
            return Err(io::Error::new(io::ErrorKind::FileTooLarge, told));
        }
        let written = self.file.write(bytes)?;
        self.room -= written as u64;
        Ok(written)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

#[cfg(target_os = "linux")]
fn longest_file() -> u64 {
    use rustix::process::{Resource, getrlimit};
    getrlimit(Resource::Fsize).current.unwrap_or(u64::MAX)
}

/// Other systems are not asked: their limits count differently.
#[cfg(not(target_os = "linux"))]
const fn longest_file() -> u64 {
    u64::MAX
}

/// How far standard output is written where it is a file, which that limit holds for; 0 where it is none.
#[cfg(target_os = "linux")]
fn in_stdout_already() -> u64 {
    use std::io::Seek as _;
    use std::os::fd::AsFd as _;
    let Ok(own) = io::stdout().as_fd().try_clone_to_owned() else {
        return 0;
    };
    let mut file = std::fs::File::from(own);
    let length = match file.metadata() {
        Ok(kind) if kind.is_file() => kind.len(),
        _ => return 0,
    };
    // Where it is appended to, the position is not moved before the first byte is written.
    file.stream_position().map_or(length, |at| at.max(length))
}

#[cfg(not(target_os = "linux"))]
const fn in_stdout_already() -> u64 {
    0
}
