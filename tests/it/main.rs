//! The integration tests, in one binary because linking is slow.

mod grade;
