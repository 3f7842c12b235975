//! A vessel's page: what its level tells, its free chlorine to come, and how much bleach to add.

use keepwell::clock::Clock;
use keepwell::demo;
use keepwell::model::id::VesselId;
use keepwell::service::App;

use super::*;
