//! A vessel on a page of its own.

mod drawn;

pub(crate) use drawn::drawn;
pub(crate) use drawn::filling;
pub(crate) use drawn::heel;
pub(crate) use drawn::outlet;
pub(crate) use drawn::rule;
pub(crate) use drawn::stands_at;
pub(crate) use drawn::whole;
pub(crate) use drawn::worst;
