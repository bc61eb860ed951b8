"""What a newcomer reads first on the API's page; pure text, for the settings read it."""

START = """\
Log visits to exhaust fans on kitchen roofs; hear at once what each reading means and when to come
back. [To the pages](/)

### Five steps

1. **A key for your device.** `POST /keys` with your name and password. Send what it tells as
   `token` with every request: `Authorization: Token 0f9d…` (on this page: *Authorize*, with the
   word `Token` before it). A key ends after 90 days without use, or once you revoke it.
2. **Find the fan.** `GET /fans?tag=EF-1`, or `GET /sites` and then `GET /fans?site=12`. Fans are
   named by their tag wherever something is sent, sites by owner and name or by `site_id`.
3. **Ask what a reading means.** `POST /judge` takes readings and what was seen as a check has
   them; nothing is stored.
4. **Log the visit.** `POST /visits` under a UUID that you make and keep. No answer? Send the same
   again: it is stored once. The answer tells every verdict with its basis, cautions, and the new
   dates. A phone that had no signal sends up to 100 records to `POST /visits/batch`.
5. **Read what is due.** `GET /due` in the order in which to go, each date with its reasons;
   `GET /due/{fan}` for one fan. What moved since: `GET /changes?since=…`; what came in since:
   `GET /visits?received_since=…`.

### Who may do what

| role | reads | logs visits, events, decisions, closings | enters and edits the register |
| --- | --- | --- | --- |
| owner's contact | what is theirs | no | no |
| technician | all | yes, for a colleague too | no |
| dispatcher, manager | all | yes, for a colleague too | yes |

Of people a technician reads their own entry and an owner's contact those of the same owner; of a
week a technician reads their own rounds once published, an owner's contact none; of keys everybody
reads and revokes their own, a manager all.  What you may not see is answered as what is
not there: 404.

### What all have in common

- Every refusal is a problem (RFC 9457): `errors` tells each fault with its place, the value seen
  and what to do, all of them at once; of more than a hundred it tells how many more.
- Lists tell `next`, the address of the page after; follow it until it is null.
- An edit says with `If-Match` what it changes: the ETag of what you read.
- Days are the site's own. Readings come as `200`, `"200 V"`, `"<0.05 in/s"` or `"OL"`, vibration
  with its detector as `"0.19 in/s peak"`; without a unit they are in the one named first.
- Live readings are for people recorded as qualified; the maker's instructions, local codes and
  licensed people come before anything told here.
"""
