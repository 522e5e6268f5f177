"""Which pages have a form that cannot be sent empty, and where it stands on them."""

ACTION, UPLOAD = "main form:has(.action, .action-stop)", "main form[enctype]"
REFUSES_EMPTY: dict[str, str] = {
    "accounts:password": ACTION, "accounts:sign_in": ACTION, "customer:answer": ACTION,
    "customer:book_contact": ACTION, "customer:book_family": ACTION, "customer:book_later": ACTION,
    "customer:book_limit": ACTION, "customer:book_model": ACTION, "customer:book_number": ACTION,
    "customer:book_photos": UPLOAD, "customer:cancel": ACTION, "customer:carton": ACTION,
    "customer:details": ACTION, "customer:find": ACTION, "customer:job": ACTION,
    "customer:job_photos": UPLOAD, "customer:pack": "main div:has(> .actions > [formaction$='/drained/'])",
    "customer:posted": ACTION, "workshop:answer": ACTION, "workshop:bench_fluid": ACTION,
    "workshop:box": ACTION, "workshop:decide": ACTION, "workshop:decline": ACTION,
    "workshop:extra_work": ACTION, "workshop:finding": ACTION, "workshop:finish": ACTION,
    "workshop:hold": ACTION, "workshop:inspect": ACTION, "workshop:note": ACTION, "workshop:pack": ACTION,
    "workshop:links": ACTION, "workshop:part": ACTION, "workshop:photos": UPLOAD, "workshop:sign_off": ACTION,
    "workshop:turn": ACTION, "workshop:withdraw_photo": ACTION,
    "workshop:question": ACTION, "workshop:readings": ACTION, "workshop:receive": ACTION,
    "workshop:send_back": ACTION, "workshop:start": ACTION, "workshop:take_back": ACTION,
    "workshop:unrepaired": ACTION, "workshop:cancel": ACTION, "workshop:spoken": ACTION,
    "workshop:settings": ACTION, "owner:closed_days": "main form", "owner:edit": ACTION,
    "owner:import": ACTION, "owner:import_preview": ACTION, "owner:preview": ACTION, "owner:new": ACTION,
    "owner:new_person": ACTION, "owner:person": ACTION, "owner:what_if": ACTION, "owner:withdraw": ACTION,
}  # fmt: skip
