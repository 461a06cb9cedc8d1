"""An operator's own voice: said, checked, kept, fitted, and told from others.

`session` says which word comes next and `checks` judges each example; `fitting`
makes a last layer of the network from them; `profile_store` keeps them on this
computer and nowhere else; `own_voice` lets the recogniser use them as long as
`voice_match` finds that it is the same voice; `learning` lets confirmed answers
of a walk join. Imports audio, the network and the grammars. Start with
`profile.py`.
"""
