//! Shards as a job array under a Slurm of one node, set up in a folder of its own on the loopback
//! address.
#![cfg(unix)]

use super::shards::{arrives, desk_with_a_late_drawing, joined, path_with_program};
use super::{Desk, Running, assert_same, installed};
use crate::outside::{root, said};
use std::fs;
use std::net::TcpListener;
use std::os::unix::fs::PermissionsExt;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::thread::sleep;
use std::time::{Duration, Instant};

/// A Slurm of one node; its programs are ended when it is dropped, the node first.
struct Slurm {
    conf: PathBuf,
    _node: Running,
    _control: Running,
    _munge: Running,
    _dir: tempfile::TempDir,
}

/// A port that is free now.
fn port() -> u16 {
    TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port()
}

/// A program in the background that says what it has to say in a file.
fn daemon(dir: &Path, program: &str, args: &[&str]) -> Running {
    let log = fs::File::create(dir.join(format!("{program}.out"))).unwrap();
    let mut command = Command::new(format!("/usr/sbin/{program}"));
    command.args(args).env("SLURM_CONF", dir.join("slurm.conf"));
    Running::start(command.stdout(log.try_clone().unwrap()).stderr(Stdio::from(log)))
}

impl Slurm {
    fn start() -> Self {
        let dir = tempfile::tempdir().unwrap();
        let at = dir.path().to_str().unwrap();
        for folder in ["state", "spool"] {
            fs::create_dir(dir.path().join(folder)).unwrap();
        }
        let key: Vec<u8> = (0..=255u8).cycle().skip(port().into()).take(1024).collect();
        let key_file = dir.path().join("munge.key");
        fs::write(&key_file, key).unwrap();
        fs::set_permissions(&key_file, fs::Permissions::from_mode(0o600)).unwrap();
        let user = Command::new("id").arg("-un").output().unwrap();
        let user = String::from_utf8(user.stdout).unwrap();
        let cpus = std::thread::available_parallelism().unwrap();
        let conf = dir.path().join("slurm.conf");
        let text = format!(
            "ClusterName=trial\nSlurmctldHost=localhost(127.0.0.1)\n\
             AuthType=auth/munge\nAuthInfo=socket={at}/munge.socket\nCredType=cred/munge\n\
             SlurmUser={user}\nSlurmdUser={user}\nSlurmctldPort={}\nSlurmdPort={}\n\
             StateSaveLocation={at}/state\nSlurmdSpoolDir={at}/spool\n\
             SlurmctldPidFile={at}/slurmctld.pid\nSlurmdPidFile={at}/slurmd.pid\n\
             ProctrackType=proctrack/pgid\nTaskPlugin=task/none\nSwitchType=switch/none\nMpiDefault=none\n\
             SelectType=select/cons_tres\nSelectTypeParameters=CR_CPU\n\
             AccountingStorageType=accounting_storage/none\nJobAcctGatherType=jobacct_gather/none\n\
             NodeName=localhost NodeAddr=127.0.0.1 CPUs={cpus} State=UNKNOWN\n\
             PartitionName=all Nodes=localhost Default=YES MaxTime=INFINITE State=UP\n",
            port(),
            port(),
        );
        fs::write(&conf, text).unwrap();
        let option = |name: &str, file: &str| format!("--{name}={at}/{file}");
        let munge = daemon(
            dir.path(),
            "munged",
            &[
                "--foreground",
                "--force",
                &option("socket", "munge.socket"),
                &option("key-file", "munge.key"),
                &option("pid-file", "munged.pid"),
                &option("log-file", "munged.log"),
                &option("seed-file", "munge.seed"),
            ],
        );
        wait("munged", || dir.path().join("munge.socket").exists());
        let control = daemon(dir.path(), "slurmctld", &["-D", "-c", "-f", &format!("{at}/slurm.conf")]);
        let node =
            daemon(dir.path(), "slurmd", &["-D", "-c", "-N", "localhost", "-f", &format!("{at}/slurm.conf")]);
        let slurm = Slurm { conf, _node: node, _control: control, _munge: munge, _dir: dir };
        wait("the node", || {
            let info = slurm.command("sinfo").args(["-h", "-o", "%T"]).output().unwrap();
            String::from_utf8_lossy(&info.stdout).trim() == "idle"
        });
        slurm
    }

    fn command(&self, program: &str) -> Command {
        let mut command = Command::new(program);
        command.env("SLURM_CONF", &self.conf);
        command
    }

    /// Runs the job array, or the part of it that `more` names, to its end.
    fn array(&self, desk: &Desk, more: &[&str]) -> Output {
        let mut command = self.command("sbatch");
        command.args(["--wait", "--output=shard-%a.txt"]).args(more);
        command.arg(root().join("samples/slurm-array.sh")).args(["orders.csv", "out"]);
        command.current_dir(desk.dir.path()).env("PATH", path_with_program()).output().unwrap()
    }
}

fn wait(what: &str, ready: impl Fn() -> bool) {
    let begun = Instant::now();
    while !ready() {
        assert!(begun.elapsed() < Duration::from_mins(1), "{what} does not start");
        sleep(Duration::from_millis(100));
    }
}

#[test]
fn four_shards_run_as_a_slurm_job_array() {
    if !installed(&["sbatch", "sinfo", "slurmctld", "slurmd", "munged"], "slurm-wlm munge") {
        return;
    }
    let desk = desk_with_a_late_drawing();
    let slurm = Slurm::start();
    let run = slurm.array(&desk, &[]);
    // `sbatch --wait` ends with the highest exit code of the array's tasks.
    assert_eq!(run.status.code(), Some(1), "{}", said(&run));
    for shard in 1..=4 {
        let told = fs::read_to_string(desk.path(&format!("shard-{shard}.txt"))).unwrap();
        assert_eq!(told.contains("order 'order 06' failed"), shard == 3, "{told}");
    }
    assert_eq!(desk.run("out", &["--collect"]).status.code(), Some(1));

    arrives(&desk);
    fs::remove_file(desk.path("shard-1.txt")).unwrap();
    let run = slurm.array(&desk, &["--array=3"]);
    assert_eq!(run.status.code(), Some(0), "{}", said(&run));
    assert!(!desk.path("shard-1.txt").exists(), "only shard 3 ran again");
    let collected = desk.run("out", &["--collect"]);
    assert_eq!(collected.status.code(), Some(0), "{}", said(&collected));
    assert!(desk.run("single", &[]).status.success());
    assert_same(&joined(&desk, "out"), &desk.tree("single"));
}
