//! x
use crate::check::Sheet;
use crate::finding::Finding;
use crate::job::Job;
use crate::order::Opened;
/// x
pub fn compare(_s: &Sheet<'_>, _o: &Opened<'_>, _j: &Job) -> Vec<Finding> {
    Vec::new()
}
