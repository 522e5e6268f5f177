"""The first words of every mail, until the owner publishes others."""

from jobs.domain.shop import MessageText

FIRST_TEXTS: tuple[MessageText, ...] = (
    MessageText(
        slug="booking_received",
        subject="We have your booking {number}",
        opening=(
            "Thank you. We have your booking and look at it within one working day. Keep the unit "
            "with you until we say it is clear to send."
        ),
    ),
    MessageText(
        slug="question",
        subject="A question about {number}",
        opening=("Before we can go on we need to know one thing from you."),
    ),
    MessageText(
        slug="cleared",
        subject="{number} is clear to send",
        opening=(
            "Yes, we take it. Your own list is ready: what to take off, what else to do, and how to pack it."
        ),
    ),
    MessageText(
        slug="declined",
        subject="About your booking {number}",
        opening=("We have looked at your booking and cannot take this one. The reason is below."),
    ),
    MessageText(
        slug="cancelled",
        subject="{number} is cancelled",
        opening=("This booking is cancelled. If the unit is already on its way, ring us."),
    ),
    MessageText(
        slug="arrived",
        subject="{number} has arrived",
        opening=(
            "Your box is here. We unpack it, photograph it and write to you again when we have looked at it."
        ),
    ),
    MessageText(
        slug="inspected",
        subject="{number}: what we found",
        opening=("We have looked at your unit. What we found, with photos, is on your page."),
    ),
    MessageText(
        slug="extra_work",
        subject="{number}: we need your yes or no",
        opening=("We found more work than was agreed. Nothing extra is done until you answer."),
    ),
    MessageText(
        slug="extra_work_decided",
        subject="{number}: your answer is noted",
        opening=("Thank you, your answer about the extra work is noted."),
    ),
    MessageText(
        slug="extra_work_within",
        subject="{number}: a little more work, within your limit",
        opening=(
            "We found some more work. It is within the limit you agreed, so we go ahead; "
            "nothing waits for you."
        ),
    ),
    MessageText(
        slug="promise",
        subject="{number}: when it will be on its way back",
        opening=("We now know enough to give you a date."),
    ),
    MessageText(
        slug="promise_changed",
        subject="{number}: the date has moved",
        opening=("The date we gave you has moved. The reason is below."),
    ),
    MessageText(
        slug="ready",
        subject="{number} is finished",
        opening=("Your unit is rebuilt, tested and signed off. We pack it next."),
    ),
    MessageText(
        slug="sent_back",
        subject="{number} is on its way back",
        opening=(
            "Your unit is on its way. Photograph the box before you open it, keep all the packing, "
            "and tell us within 48 hours if anything is wrong."
        ),
    ),
    MessageText(
        slug="returned_unrepaired",
        subject="{number} is on its way back, not repaired",
        opening=("We are sending your unit back without the repair. The reason is on your page."),
    ),
    MessageText(
        slug="closed",
        subject="{number} is closed",
        opening=(
            "This job is closed. What was found, done and measured stays on your page, with the photos."
        ),
    ),
    MessageText(
        slug="links_renewed",
        subject="{number}: a new link to your page",
        opening=(
            "We have closed every link that we had sent you, for all your jobs. This one is new; on each "
            "device you open your page with it again."
        ),
    ),
    MessageText(
        slug="draft_link",
        subject="Your unfinished booking",
        opening=("Here is the link to go on with your booking where you stopped."),
    ),
    MessageText(
        slug="sign_in",
        subject="Your link to {shop}",
        opening=("Here is the link you asked for. It works once, for ten minutes."),
    ),
    MessageText(
        slug="reminder",
        subject="{number}: we are still waiting for your answer",
        opening=("We asked you something and your unit waits until you answer."),
    ),
)
