//! Where every change of several rows begins.

use sqlx::Connection;
use sqlx::Sqlite;
use sqlx::SqliteConnection;
use sqlx::Transaction;

use crate::store::Error;

const BEGIN: &str = "BEGIN IMMEDIATE";

/// A transaction that writes; dropped, it is rolled back.
///
/// On a full disk SQLite rolls back by itself. sqlx 0.9 does not learn of it: its own `ROLLBACK` fails, it goes on counting
/// the transaction as open, and refuses to begin another for as long as the connection lives. So what is counted by mistake
/// is made true, and then rolled back by the refusal.
pub(super) async fn begin(connection: &mut SqliteConnection) -> Result<Transaction<'_, Sqlite>, Error> {
    if connection.is_in_transaction() {
        // What was dropped a moment ago is rolled back before this is answered.
        connection.ping().await?;
    }
    if connection.is_in_transaction() {
        if let Err(error) = sqlx::query("BEGIN").execute(&mut *connection).await {
            tracing::warn!("a transaction was left open: {error}");
        }
        drop(connection.begin_with(BEGIN).await);
    }
    Ok(connection.begin_with(BEGIN).await?)
}
