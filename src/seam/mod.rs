//! seams
pub mod role;
pub use role::SeamRole;
