//! Today: the figures at the head, the reasons, who may see what, and what a repeat costs.

use crate::harness::House;
use crate::pages::scene::reach;
use crate::pages::scene::signed_in;

#[tokio::test]
async fn the_first_to_go_without_is_named_with_its_cause_and_its_day() {
    let house = House::open().await;
    let reach = reach(house.running.app()).await;
    let maren = signed_in(&house, reach.maren).await;
    let page = maren.get("/").await;
    assert_eq!(page.status, 200, "{}", page.text);
    // Mill End: nobody has read its cans, so nothing counts there.
    assert!(page.text.contains("Mill End, 4 people"), "{}", page.text);
    house.close().await;
}
