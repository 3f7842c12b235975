//! The files to begin from: headings and two rows of the invented Alder Reach, in either system of units.

use crate::model::neighbourhood::Units;
use crate::service::import::Kind;

/// A file of that kind to fill in.
#[must_use]
pub const fn template(kind: Kind, units: Units) -> &'static str {
    match (kind, units) {
        (Kind::Sites, Units::Metric) => {
            "name,kind,address,latitude,longitude,elevation (m),access,contact,phone,source,notes\r\n\
             Parish hall,hall,1 Alder Way,,,24,key in the porch,,,mains,\r\n\
             Birch Court,flats,7 Mill Lane,,,31.5,ring at the warden's,,,mains,\"tanks in the cellar, 12 steps\"\r\n"
        }
        (Kind::Sites, Units::Us) => {
            "name,kind,address,latitude,longitude,elevation (ft),access,contact,phone,source,notes\r\n\
             Parish hall,hall,1 Alder Way,,,79,key in the porch,,,mains,\r\n\
             Birch Court,flats,7 Mill Lane,,,103,ring at the warden's,,,mains,\"tanks in the cellar, 12 steps\"\r\n"
        }
        (Kind::Vessels, Units::Metric) => {
            "site,name,shape,diameter (m),length (m),width (m),height (m),count,litres each,litres,table (m:L),full mark (m),\
             pump outlet (m),gravity outlet (m),dip outlet (m),material,food grade,closed,opaque,stands on,anchored,bank,\
             source,rotate every (days),in place since,last filled,filled to the top,notes\r\n\
             Parish hall,East tank,upright cylinder,1.20,,,1.70,,,,,1.60,0.25,0.10,,polyethylene,yes,yes,yes,slab,yes,,\
             mains,180,2025-01-10,2025-06-01,yes,\r\n\
             Birch Court,Cans,set,,,,,24,20,,,,,,,polyethylene,yes,yes,no,slab,no,,\
             mains,180,2025-01-10,2025-06-01,yes,in the cellar\r\n"
        }
        (Kind::Vessels, Units::Us) => {
            "site,name,shape,diameter (in),length (in),width (in),height (in),count,gallons each,gallons,table (in:gal),\
             full mark (in),pump outlet (in),gravity outlet (in),dip outlet (in),material,food grade,closed,opaque,stands on,\
             anchored,bank,source,rotate every (days),in place since,last filled,filled to the top,notes\r\n\
             Parish hall,East tank,upright cylinder,48,,,67,,,,,63,10,4,,polyethylene,yes,yes,yes,slab,yes,,\
             mains,180,2025-01-10,2025-06-01,yes,\r\n\
             Birch Court,Cans,set,,,,,24,5,,,,,,,polyethylene,yes,yes,no,slab,no,,\
             mains,180,2025-01-10,2025-06-01,yes,in the cellar\r\n"
        }
        (Kind::People, _) => "site,category,number\r\nParish hall,adult,12\r\nBirch Court,dogs and cats,3\r\n",
        (Kind::Readings, Units::Metric) => {
            "site,vessel,time,depth (m),measured from,part of full (%),volume (L),meter reading (L),full containers,method,note\r\n\
             Parish hall,East tank,2025-06-14 08:10,1.00,floor,,,,,dipstick,\r\n\
             Birch Court,Cans,2025-06-14 09:00,,,,,,22,counted,two given out\r\n"
        }
        (Kind::Readings, Units::Us) => {
            "site,vessel,time,depth (in),measured from,part of full (%),volume (gal),meter reading (gal),full containers,\
             method,note\r\n\
             Parish hall,East tank,2025-06-14 08:10,39.5,floor,,,,,dipstick,\r\n\
             Birch Court,Cans,2025-06-14 09:00,,,,,,22,counted,two given out\r\n"
        }
        (Kind::Fuel, Units::Metric) => {
            "site,store,fuel,capacity (L),amount (L),measured on,bought,stabilised\r\n\
             Parish hall,Jerrycans,petrol,60,40,2025-06-14,2025-05-20,yes\r\n\
             Birch Court,Cylinder,propane,27 L,11 kg,2025-06-14,2025-05-20,no\r\n"
        }
        (Kind::Fuel, Units::Us) => {
            "site,store,fuel,capacity (gal),amount (gal),measured on,bought,stabilised\r\n\
             Parish hall,Jerrycans,petrol,15,10,2025-06-14,2025-05-20,yes\r\n\
             Birch Court,Cylinder,propane,7,20 lb,2025-06-14,2025-05-20,no\r\n"
        }
    }
}
