//! A worker: a process that takes off the plans that it is given, until there are no more.
//!
//! A plan that takes too long, too much memory or too much stack ends its worker and nothing else.

use std::io::{self, BufWriter, Write as _};

use eavewright::batch::content_key;

use super::super::Failure;
use super::super::args::BatchArgs;
use eavewright::courses::LaidBefore;

use super::make::Maker;
use super::wire::{self, Hello};

/// Serves the run that started this process.
pub(super) fn run(args: &BatchArgs) -> Result<(), Failure> {
    limit_memory(args.memory_limit);
    let maker = Maker::new(args)?;
    // A plan that the program fails on is told in one line with the others that fail, not by the system's message.
    std::panic::set_hook(Box::new(|_| {}));
    // Where that fails, whoever started this process has ended: there is nobody to tell.
    serve(&maker).map_err(|_| Failure::Plan)
}

fn serve(maker: &Maker) -> io::Result<()> {
    let mut input = io::stdin().lock();
    let mut out = BufWriter::new(io::stdout().lock());
    let how = content_key(&[maker.how()]);
    wire::say(&mut out, &Hello { how })?;
    out.flush()?;
    let mut before = LaidBefore::default();
    while let Some((file_name, bytes)) = wire::asked(&mut input)? {
        wire::answer(&mut out, &maker.make(&file_name, &bytes, &mut before))?;
    }
    Ok(())
}

/// Lets this process have so much memory and no more. What asks for more is ended by its own allocator.
#[cfg(target_os = "linux")]
fn limit_memory(mebibytes: u32) {
    use rustix::process::{Resource, Rlimit, setrlimit};
    let most = |bytes| Rlimit {
        current: Some(bytes),
        maximum: Some(bytes),
    };
    // A system that does not let itself be told has limits of its own; the plans are taken off all the same.
    let _ = setrlimit(Resource::Data, most(u64::from(mebibytes) << 20));
    let _ = setrlimit(Resource::Core, most(0));
}

/// Other systems are not asked: their limits count differently.
#[cfg(not(target_os = "linux"))]
const fn limit_memory(_mebibytes: u32) {}
