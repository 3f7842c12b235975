//! The daily status: written at the start, and again on each new day of the neighbourhood.

use std::path::PathBuf;
use std::time::Duration;

use jiff::civil::Date;
use tokio::sync::watch;

use crate::service::App;

/// How often the date is looked at. Nothing is written unless it has changed, or the last copy could not be.
const LOOK: Duration = Duration::from_secs(60);

/// The status as a file's whole content, or why there is none.
pub type Render = Box<dyn Fn(&App) -> Result<String, String> + Send>;

/// One copy a day.
pub struct Daily {
    app: App,
    folder: PathBuf,
    render: Render,
    done: Option<Date>,
}

impl Daily {
    #[must_use]
    pub fn new(app: App, folder: PathBuf, render: Render) -> Self {
        Self { app, folder, render, done: None }
    }

    /// Writes today's copy if it is not written yet. Before anything is set up there is nothing to tell.
    pub fn turn(&mut self) {
        let today = self.app.date_here();
        if !self.app.is_set_up() || self.done == Some(today) {
            return;
        }
        if self.app.keep_status(&self.folder, (self.render)(&self.app)) {
            self.done = Some(today);
        }
    }

    /// Turn after turn, until it is told to stop, or nobody is there any more to tell it. A copy that is being written
    /// is written to its end.
    pub async fn run(mut self, mut stop: watch::Receiver<bool>) {
        let mut look = tokio::time::interval(LOOK);
        loop {
            tokio::select! {
                _ = stop.wait_for(|stop| *stop) => return,
                _ = look.tick() => {}
            }
            // Writing to a disk may take its time; others need not wait for it.
            match tokio::task::spawn_blocking(move || {
                self.turn();
                self
            })
            .await
            {
                Ok(back) => self = back,
                Err(gone) => {
                    tracing::error!("the daily status is written no more: {gone}");
                    return;
                }
            }
        }
    }
}
