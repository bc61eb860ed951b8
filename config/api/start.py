"""What a newcomer reads first on the API's page; pure text, for the settings read it."""

START = """\
Log visits to exhaust fans on kitchen roofs; hear at once what each reading means and when to come
back. [To the pages](/)

### Five steps

1. **A key for your device.** `POST /keys` with your name and password. Send what it tells as
   `token` with every request: `Authorization: Token 0f9d…` (on this page: *Authorize*, with the
   word `Token` before it). A key ends after 90 days without use, or once you revoke it:
   `GET /keys` lists yours, `DELETE /keys/{id}` ends one.
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

### From a terminal

With your own name, password, key, site, tag and ids, of which
`python3 -c 'import uuid; print(uuid.uuid4())'` makes one; what is logged may be sent again:

```
API=http://127.0.0.1:8000/api/v1
JSON='Content-Type: application/json'
curl $API/keys -H "$JSON" -d '{"username": "ruta", "password": "…", "name": "Terminal"}'
KEY='Authorization: Token 0f9d…'
curl "$API/fans?tag=EF-1&fields=id,site,tag" -H "$KEY"
curl $API/judge -H "$KEY" -H "$JSON" -d '{"seen": {"hinge": "broken"}}'
curl $API/visits -H "$KEY" -H "$JSON" -d '{
  "id": "7c9e6679-7425-40de-944b-e07fc1f90ae7", "kind": "service_call",
  "site_id": 12, "began_at": "2026-03-02T09:10",
  "checks": [{"fan": "EF-1", "readings": {"vibration_motor_radial": "0.35 in/s peak"},
              "seen": {"running": "runs", "wheel": "dirty"}}]}'
PHOTO='id=16fd2706-8baf-433b-82eb-8c7fada847da&fan=EF-1&subject=wheel'
curl "$API/visits/7c9e6679-7425-40de-944b-e07fc1f90ae7/photos?$PHOTO" -H "$KEY" \\
  -H 'Content-Type: image/jpeg' --data-binary @wheel.jpg
curl "$API/due?verdict=act" -H "$KEY"
curl "$API/changes?since=2026-03-02T00:00:00Z" -H "$KEY"
```

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
  and what to do, of a body all of them at once; of more than a hundred it tells how many more.
- What is seen on roofs (visits, events, decisions, closings, photos, `judge`, `round`) is answered
  in the language of whoever asks, as the register has it, by cookie or key; `Accept-Language`
  counts only where nobody is known. `Content-Language` says which; all else is English. Codes,
  pointers, types and titles are the same in each.
- Addresses end without a slash. Lists tell `next`, the address of the page after; follow it until
  it is null.
- An edit says with `If-Match` what it changes: the ETag of what you read, which `curl -i` shows.
- Days are the site's own. Readings come as `200`, `"200 V"`, `"<0.05 in/s"` or `"OL"`, vibration
  with its detector as `"0.19 in/s peak"`; without a unit they are in the one named first.
- Live readings are for people recorded as qualified; the maker's instructions, local codes and
  licensed people come before anything told here.
"""
