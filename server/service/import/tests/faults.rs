//! Each thing that can be wrong, with its file, line, column and value, and a word of what is said.

use super::*;

/// What is expected of one fault: line, column, value, words.
type Expected<'a> = (usize, &'a str, &'a str, &'a str);

/// The faults of the last of the files, which are all there are.
#[track_caller]
fn found(texts: &[&str], expected: &[Expected<'_>]) {
    let faults = House::default().faults(texts);
    let last = format!("{}.csv", texts.len());
    let shown: Vec<_> = faults.iter().map(|fault| (fault.line, &fault.column, &fault.value, said(fault))).collect();
    assert_eq!(faults.len(), expected.len(), "{shown:#?}");
    for (fault, (line, column, value, words)) in faults.iter().zip(expected) {
        assert_eq!((&fault.file, fault.line), (&last, *line), "{shown:#?}");
        assert_eq!((fault.column.as_str(), fault.value.as_str()), (*column, *value), "{shown:#?}");
        let said = said(fault);
        assert!(said.contains(words), "{said}");
        assert!(!said.contains('{'), "a place is not filled: {said}");
    }
}

#[test]
fn of_files_as_a_whole() {
    for (text, line, words) in [
        ("", 1, "empty"),
        ("\n\n  \n", 1, "empty"),
        ("name,kind\n", 1, "no rows"),
        ("\n\nname,kind\n\n", 3, "no rows"),
        ("colour,size\nred,4\n", 1, "no kind of file that is known here. Known are: sites (name, kind); vessels"),
        ("just some words\n", 1, "no kind of file"),
        ("site,vessel,depth\nA,B,1\n", 1, "There is no column “time”"),
        ("site,name,food grade,closed\nA,B,yes,yes\n", 1, "There is no column “shape”"),
    ] {
        found(&[text], &[(line, "", "", words)]);
    }
}

#[test]
fn of_headings() {
    for (text, expected) in [
        (
            "name,kind,colour\nA,hall,red\n",
            (1, "colour", "colour", "is no column of sites. Known are: name, kind, address"),
        ),
        ("name,kind,Name\nA,hall,B\n", (1, "Name", "Name", "says the same as “name”")),
        ("name,kind,site\nA,hall,B\n", (1, "site", "site", "says the same as “name”")),
        ("name,,kind\nA,x,hall\n", (1, "B", "", "no heading")),
        (
            "name,kind,elevation (furlongs)\nA,hall,3\n",
            (
                1,
                "elevation (furlongs)",
                "elevation (furlongs)",
                "furlongs is no unit of elevation. Known are: m, cm, mm, ft, in.",
            ),
        ),
        (
            "name,kind,elevation (gal)\nA,hall,3\n",
            (1, "elevation (gal)", "elevation (gal)", "gal is no unit of elevation"),
        ),
        ("name,kind,phone (m)\nA,hall,3\n", (1, "phone (m)", "phone (m)", "phone has no unit")),
    ] {
        found(&[text], &[expected]);
    }
}

#[test]
fn of_lines_and_quotes() {
    for (text, expected) in [
        ("name,kind\nA\n", (2, "", "", "This line has 1 cells; there are 2 headings.")),
        ("name,kind\nA,hall\n\nB,hall,x\n", (4, "C", "x", "This line has 3 cells")),
        ("name,kind\nA,\"hall\n", (2, "kind", "hall", "never closed")),
        ("name,kind\nA,\"ha\"ll\n", (2, "kind", "ha", "after the closing")),
        ("name,\"ki\"nd\nA,hall\n", (1, "B", "ki", "after the closing")),
        // Cells of several lines are one row, as in a spreadsheet.
        ("name,kind,notes\nA,hall,\"one\ntwo\"\nB,hut,\n", (3, "kind", "hut", "kind is one of: household, hall")),
        ("name,kind\r\rA,hut\r", (3, "kind", "hut", "kind is one of")),
        ("name,kind\r\n\r\nA,hut\r\n", (3, "kind", "hut", "kind is one of")),
    ] {
        found(&[text], &[expected]);
    }
}

#[test]
fn of_sites() {
    for (row, expected) in [
        (",hall,,", (2, "name", "", "name is missing")),
        ("A,,,", (2, "kind", "", "kind is missing")),
        ("A,hut,,", (2, "kind", "hut", "fire watch, other. hut is none of them")),
        ("A,hall,91,", (2, "latitude", "91", "latitude is 91 ; allowed is -90  to 90")),
        ("A,hall,north,", (2, "latitude", "north", "north is not a number")),
        ("A,hall,,tap", (2, "source", "tap", "source is one of: mains, bought")),
    ] {
        found(&[&format!("name,kind,latitude,source\n{row}\n")], &[expected]);
    }
    let long = "x".repeat(81);
    found(&[&format!("name,kind\n{long},hall\n")], &[(2, "name", &long, "80 characters at most")]);
    found(&["name,kind\nA,hall\na,hall\n"], &[(3, "name", "a", "twice: see line 2 of 1.csv")]);
}

#[test]
fn of_people() {
    for (row, expected) in [
        ("Parish hall,adult,-1", (2, "number", "-1", "number is -1 ; allowed is 0  to 1000000")),
        ("Parish hall,adult,1.5", (2, "number", "1.5", "whole number")),
        ("Parish hall,adult,", (2, "number", "", "number is missing")),
        ("Parish hall,adult,\"1,234\"", (2, "number", "1,234", "two ways: write 1234, or 1.2340")),
        ("Parish hall,giants,2", (2, "category", "giants", "giants is none of them")),
        ("Parish hall,,2", (2, "category", "", "category is missing")),
        ("Town hall,adult,2", (2, "site", "Town hall", "There is no site “Town hall”")),
        (",adult,2", (2, "site", "", "site is missing")),
    ] {
        found(&[SITES, &format!("site,category,number\n{row}\n")], &[expected]);
    }
    let twice = "site,category,number\nParish hall,adult,2\nParish hall,adults,3\n";
    found(&[SITES, twice], &[(3, "category", "adults", "in line 2 already")]);
}

#[test]
fn of_vessels() {
    let head = "site,name,shape,diameter (m),height (m),count,litres each,full mark (m),pump outlet (m),food grade,closed,\
        opaque,bank,in place since,last filled,to the top,rotate every,table";
    for (row, expected) in [
        ("Parish hall,A,upright cylinder,,1.7,,,,,yes,yes,yes,,,,,,", (2, "diameter (m)", "", "diameter is missing")),
        (
            "Parish hall,A,upright cylinder,-1,1.7,,,,,yes,yes,yes,,,,,,",
            (2, "diameter (m)", "-1", "diameter is -1 m; allowed is 0.01 m to 100 m"),
        ),
        (
            "Parish hall,A,upright cylinder,1.2,1.7,,,1.8,,yes,yes,yes,,,,,,",
            (2, "full mark (m)", "1.8", "at most 1.7 m, the rim"),
        ),
        (
            "Parish hall,A,upright cylinder,1.2,1.7,,,1.5,1.6,yes,yes,yes,,,,,,",
            (2, "pump outlet (m)", "1.6", "allowed is 0 m to 1.5 m"),
        ),
        (
            "Parish hall,A,upright cylinder,1.2,1.7,24,,,,yes,yes,yes,,,,,,",
            (2, "count", "24", "no measure of the shape “upright cylinder”"),
        ),
        ("Parish hall,A,set,,,2.5,20,,,yes,yes,yes,,,,,,", (2, "count", "2.5", "whole number")),
        ("Parish hall,A,set,,,24,20,0.3,,yes,yes,yes,,,,,,", (2, "full mark (m)", "0.3", "No depth is read")),
        (
            "Parish hall,A,set,,,24,20,,,yes,yes,yes,East,,,,,",
            (2, "bank", "East", "Only vessels in which a depth is read"),
        ),
        ("Parish hall,A,pyramid,,,,,,,yes,yes,yes,,,,,,", (2, "shape", "pyramid", "pyramid is none of them")),
        ("Parish hall,A,,,,24,20,,,yes,yes,yes,,,,,,", (2, "shape", "", "shape is missing")),
        ("Parish hall,,set,,,24,20,,,yes,yes,yes,,,,,,", (2, "name", "", "name is missing")),
        ("Parish hall,A,set,,,24,20,,,maybe,yes,yes,,,,,,", (2, "food grade", "maybe", "yes or no")),
        ("Parish hall,A,set,,,24,20,,,yes,,yes,,,,,,", (2, "closed", "", "closed is missing")),
        ("Parish hall,A,set,,,24,20,,,yes,yes,yes,,2026-04-01,,,,", (2, "in place since", "2026-04-01", "lies ahead")),
        (
            "Parish hall,A,set,,,24,20,,,yes,yes,yes,,03/04/2025,,,,",
            (2, "in place since", "03/04/2025", "may be 2025-04-03 or 2025-03-04"),
        ),
        (
            "Parish hall,A,set,,,24,20,,,yes,yes,yes,,,2026-03-01,,,",
            (2, "last filled", "2026-03-01", "Say in a column “source”"),
        ),
        ("Parish hall,A,set,,,24,20,,,yes,yes,yes,,,,yes,,", (2, "to the top", "yes", "Say in “last filled”")),
        ("Parish hall,A,set,,,24,20,,,yes,yes,yes,,,,,0,", (2, "rotate every", "0", "allowed is 1 d to 3650 d")),
        (
            "Parish hall,A,table,,,,,,,yes,yes,yes,,,,,,0:0 1:700 0.5:300",
            (2, "table", "0:0 1:700 0.5:300", "Pair 3 of the table"),
        ),
        ("Parish hall,A,table,,,,,,,yes,yes,yes,,,,,,1;700", (2, "table", "1;700", "no pair of depth and litres")),
        ("Parish hall,A,table,,,,,,,yes,yes,yes,,,,,,", (2, "table", "", "needs one pair or more")),
        (
            "Parish hall,A,table,,,,,,,yes,yes,yes,,,,,,0:0 40:300",
            (2, "table", "0:0 40:300", "Pair 2 of the table: depth is 40 m; allowed is 0 m to 30 m"),
        ),
        (
            "Parish hall,A,table,,,,,,,yes,yes,yes,,,,,,0:5 1:300",
            (2, "table", "0:5 1:300", "The table has 5 L at the floor"),
        ),
        ("Town hall,A,set,,,24,20,,,yes,yes,yes,,,,,,", (2, "site", "Town hall", "There is no site")),
    ] {
        found(&[SITES, &format!("{head}\n{row}\n")], &[expected]);
    }
    let twice = "site,name,shape,count,litres each,food grade,closed,opaque\n\
        Parish hall,A,set,1,20,y,y,n\nparish hall,a,set,2,20,y,y,n\n";
    found(&[SITES, twice], &[(3, "name", "a", "twice: see line 2")]);
    let before = "site,name,shape,count,litres each,food grade,closed,opaque,source,in place since,last filled\n\
        Parish hall,A,set,1,20,y,y,n,mains,2026-03-02,2026-03-01\n";
    found(&[SITES, before], &[(2, "last filled", "2026-03-01", "is before “A” was in place")]);
}

#[test]
fn of_readings() {
    let head = "site,vessel,time,depth (m),measured from,part of full,volume (L),full containers,method";
    for (row, expected) in [
        (
            "Parish hall,East tank,2026-03-04 08:10,1.71,,,,,",
            (2, "depth (m)", "1.71", "depth is 1.71 m; this vessel allows 0 m to 1.7 m"),
        ),
        ("Parish hall,East tank,2026-03-04 08:10,-0.1,,,,,", (2, "depth (m)", "-0.1", "allowed is 0 m to 30 m")),
        ("Parish hall,East tank,2026-03-04 08:10,deep,,,,,", (2, "depth (m)", "deep", "deep is not a number")),
        (
            "Parish hall,East tank,2026-03-04 08:10,1 gal,,,,,",
            (2, "depth (m)", "1 gal", "gal is no unit of this. Known are: m"),
        ),
        (
            "Parish hall,East tank,2026-03-04 08:10,,,,2000,,",
            (2, "volume (L)", "2000", "volume is 2000 L; this vessel allows 0 L to 1922"),
        ),
        (
            "Parish hall,East tank,2026-03-04 08:10,,,35,,,",
            (2, "part of full", "35", "part of full is 35 ; allowed is 0  to 1"),
        ),
        ("Parish hall,East tank,2026-03-04 08:10,,,,,2,", (2, "full containers", "2", "Only of a set")),
        ("Parish hall,Cans,2026-03-04 08:10,,,,,25,", (2, "full containers", "25", "allows 0  to 24")),
        ("Parish hall,Cans,2026-03-04 08:10,0.1,,,,,", (2, "depth (m)", "0.1", "No depth is read")),
        ("Parish hall,East tank,2026-03-04 08:10,,,,,,", (2, "depth (m)", "", "Give the depth, the part of full")),
        (
            "Parish hall,East tank,2026-03-04 08:10,1,,0.5,,,",
            (2, "depth (m)", "1", "one figure for the level, not several"),
        ),
        ("Parish hall,East tank,2026-03-04 08:10,1,lid,,,,", (2, "measured from", "lid", "is one of: floor, rim")),
        ("Parish hall,East tank,2026-03-04 08:10,,rim,0.5,,,", (2, "measured from", "rim", "Only a depth")),
        (
            "Parish hall,East tank,2026-03-04 08:10,1,,,,,guess",
            (2, "method", "guess", "is one of: dipstick, sight glass"),
        ),
        ("Parish hall,East tank,2026-03-10 12:11,1,,,,,", (2, "time", "2026-03-10 12:11", "lies ahead")),
        ("Parish hall,East tank,2025-12-31,1,,,,,", (2, "time", "2025-12-31", "is before “East tank” was in place")),
        ("Parish hall,East tank,yesterday,1,,,,,", (2, "time", "yesterday", "Write it like 2026-03-04 08:10")),
        ("Parish hall,East tank,,1,,,,,", (2, "time", "", "time is missing")),
        ("Parish hall,West tank,2026-03-04 08:10,1,,,,,", (2, "vessel", "West tank", "There is no vessel “West tank”")),
        ("Parish hall,,2026-03-04 08:10,1,,,,,", (2, "vessel", "", "vessel is missing")),
        ("Town hall,East tank,2026-03-04 08:10,1,,,,,", (2, "site", "Town hall", "There is no site")),
    ] {
        found(&[SITES, TANK, CANS, &format!("{head}\n{row}\n")], &[expected]);
    }
    // Ten minutes ahead is another's clock.
    let ahead = format!("{head}\nParish hall,East tank,2026-03-10 12:10,1,,,,,\n");
    assert_eq!(House::default().plan(&[SITES, TANK, &ahead]).entries.len(), 1);

    let two = "name,kind\nParish hall,hall\nMill,household\n";
    let same = "site,name,shape,count,litres each,food grade,closed,opaque\n\
        Parish hall,Cans,set,1,20,y,y,n\nMill,Cans,set,2,20,y,y,n\n";
    let reading = "vessel,time,full containers\nCans,2026-03-04,1\n";
    found(&[two, same, reading], &[(2, "vessel", "Cans", "Several vessels are called “Cans”")]);
}

#[test]
fn of_fuel() {
    let head = "site,store,fuel,capacity,amount,measured on,bought,stabilised";
    for (row, expected) in [
        ("Parish hall,Cans,petrol,60,-1,,,", (2, "amount", "-1", "amount is -1 L; allowed is 0 L")),
        ("Parish hall,Cans,petrol,60,61,,,", (2, "amount", "61", "more than the store holds")),
        ("Parish hall,Cans,petrol,0,0,,,", (2, "capacity", "0", "more than nothing")),
        ("Parish hall,Cans,petrol,60,20 kg,,,", (2, "amount", "20 kg", "Only propane is weighed")),
        (
            "Parish hall,Cans,petrol,60,20 pints,,,",
            (2, "amount", "20 pints", "pints is no unit of this. Known are: L, m³, gal, kg, lb"),
        ),
        ("Parish hall,Cans,coal,60,20,,,", (2, "fuel", "coal", "is one of: petrol, diesel, propane, mains gas")),
        ("Parish hall,Cans,,60,20,,,", (2, "fuel", "", "fuel is missing")),
        ("Parish hall,Cans,petrol,60,,,,", (2, "amount", "", "amount is missing")),
        ("Parish hall,Cans,petrol,60,20,2026-03-11,,", (2, "measured on", "2026-03-11", "lies ahead")),
        ("Parish hall,Cans,petrol,60,20,,May,", (2, "bought", "May", "is not a day")),
        ("Parish hall,Cans,petrol,60,20,,,some", (2, "stabilised", "some", "yes or no")),
    ] {
        found(&[SITES, &format!("{head}\n{row}\n")], &[expected]);
    }
}

#[test]
fn all_of_them_are_told_in_the_order_of_the_files() {
    let readings = "vessel,time,depth (m)\nEast tank,2026-03-04,9\nEast tank,never,1\n";
    let tank = TANK.replace("1.20", "none");
    let faults = House::default().faults(&[readings, &tank, "name,kind\nParish hall,hut\n"]);
    let places: Vec<_> = faults.iter().map(|fault| (fault.file.as_str(), fault.line, fault.column.as_str())).collect();
    // The depth is not blamed: how high the tank is remains to be seen.
    let expected = [("1.csv", 3, "time"), ("2.csv", 2, "diameter (m)"), ("3.csv", 2, "kind")];
    assert_eq!(places, expected);
}

#[test]
fn what_a_file_that_cannot_be_read_may_have_named_is_not_missed() {
    let readings = "vessel,time,depth (m)\nEast tank,2026-03-04,1\n";
    let faults = House::default().faults(&["name,kind\nParish hall,\"hall\n", TANK, readings]);
    assert_eq!(faults.len(), 1, "{faults:#?}");
    assert_eq!(faults[0].file, "1.csv");
}
