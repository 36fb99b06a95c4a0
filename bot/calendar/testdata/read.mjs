// Prints as JSON what ical.js reads in a calendar file. See README.md.
import { readFileSync } from "node:fs";
import ICAL from "ical.js";

const root = new ICAL.Component(ICAL.parse(readFileSync(process.argv[2], "utf8")));
const iso = (t) => t.toJSDate().toISOString();
const entries = root.getAllSubcomponents("vevent").map((v) => {
  const e = new ICAL.Event(v);
  return {
    uid: e.uid,
    summary: e.summary,
    description: e.description,
    location: e.location,
    stamp: iso(v.getFirstPropertyValue("dtstamp")),
    start: iso(e.startDate),
    end: iso(e.endDate),
    geo: v.getFirstPropertyValue("geo"),
    alarms: v.getAllSubcomponents("valarm").map((a) => ({
      action: a.getFirstPropertyValue("action"),
      description: a.getFirstPropertyValue("description"),
      seconds: a.getFirstPropertyValue("trigger").toSeconds(),
    })),
  };
});
console.log(JSON.stringify(entries, null, 2));
